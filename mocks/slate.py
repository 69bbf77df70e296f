"""A slate: a card, or a telephone, with a code, held at the set before the frames of a setup.

QR codes are segno's, bar codes python-barcode's: never those of the library that reads slates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from mocks.light import as_field, paint
from mocks.scenes import Layer, Scene

LINEAR = ("ean13", "ean8", "upca", "upce", "code128", "code39", "itf")
KINDS = ("qr", *LINEAR)

_INK, _PAPER, _BEZEL = 18, 250, 6
_TALL = 0.42  # height of the bars, of their width
# Modules of quiet zone: ISO/IEC 18004 and GS1 General Specifications ask for 4, and 9 to 11.
_QUIET_QR, _QUIET_BARS = 4, 11
_NARROW_ITF = 2  # python-barcode draws its narrow bars two modules wide
_AWAY = 6.0  # widths of the code from camera to card: how strongly a tilt shows
_FINER = 3
_LEAST_MODULE = 4

Modules = NDArray[np.bool_]
Corners = NDArray[np.float64]

# GS1 General Specifications, "UPC-E": which of the six digits are of set B, by the check digit,
# where the number system is 0.
_UPCE = ("BBBAAA", "BBABAA", "BBAABA", "BBAAAB", "BABBAA",
         "BAABBA", "BAAABB", "BABABA", "BABAAB", "BAABAB")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Slate:
    """What is held up, and how.

    `share` is the width of the code, without its quiet zone, of the frame's; `at` its middle, of
    the frame's width and height. `turn_deg` turns the card counter-clockwise in the picture,
    `tilt_deg` turns its right side away from the camera, `lean_deg` its top. `inverted` is light
    on dark; `phone` shows the code on a telephone instead of a card. `depth` is its layer's, in px
    of blur.
    """

    text: str
    kind: str = "qr"
    share: float = 0.12
    at: tuple[float, float] = (0.5, 0.5)
    turn_deg: float = 4.0
    tilt_deg: float = 0.0
    lean_deg: float = 0.0
    inverted: bool = False
    phone: bool = False
    depth: float = 0.0
    bars: float = _TALL
    """Height of a bar code, of its width."""


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """A slate as a layer of the frame, and the corners of its code with its quiet zone, px."""

    layer: Layer
    corners: Corners


def symbol(kind: str, text: str) -> Modules:
    """Return the modules of a code, shape (rows, columns), True for ink, without quiet zone.

    Bars have one row.

    Raises
    ------
    ValueError
        The kind is not one of `KINDS`, or the code cannot hold the text.
    """
    if kind == "qr":
        import segno

        return np.array(segno.make(text, micro=False, error="m").matrix, bool)
    # Only those who develop have it: rehearsals show QR codes alone.
    import barcode
    from barcode.charsets import ean

    if kind == "upce":
        return _upce(text, ean.CODES)
    if kind not in LINEAR:
        raise ValueError(f"{kind!r} is no kind of code that is drawn")
    more: dict[str, Any] = {"add_checksum": False} if kind == "code39" else {}
    drawn = barcode.get_barcode_class(kind)(text, **more).build()[0]
    return np.array([[bar == "1" for bar in drawn]])


def _upce(text: str, codes: dict[str, Any]) -> Modules:
    """Eight digits: 0, six, and the check digit of the UPC-A code that they are short for."""
    if len(text) != 8 or not text.isdigit() or text[0] != "0":
        raise ValueError("UPC-E has eight digits, the first 0")
    digits = zip(text[1:7], _UPCE[int(text[7])], strict=True)
    drawn = "101" + "".join(codes[of][int(digit)] for digit, of in digits) + "010101"
    return np.array([[bar == "1" for bar in drawn]])


def held(slate: Slate, width: int, height: int) -> Held:
    """Draw a slate, in focus, as it stands in a frame of `width` x `height` px."""
    modules = symbol(slate.kind, slate.text)
    across = slate.share * width
    module = max(_LEAST_MODULE, math.ceil(_FINER * across / modules.shape[1]))
    while module > _LEAST_MODULE and module * modules.shape[1] > 2400:
        module -= 1
    card, code, quiet = _card(slate, modules, module)
    scale = across / (modules.shape[1] * module)
    middle = np.array([slate.at[0] * width, slate.at[1] * height])
    centre = code.mean(0)

    def seen(points: Corners) -> Corners:
        placed: Corners = _seen((points - centre) * scale, slate, across) + middle
        return placed

    outline = np.array([[0, 0], [card.width, 0], [card.width, card.height], [0, card.height]])
    there = seen(outline.astype(np.float64))
    left, top = np.floor(there.min(0)).astype(int) - 2
    right, bottom = np.ceil(there.max(0)).astype(int) + 2
    size = (int(right - left), int(bottom - top))
    finer = _FINER if max(size) < 1600 else 2
    back = _homography((there - [left, top]) * finer, outline.astype(np.float64))
    light, cover = (
        as_field(
            picture.transform(
                (size[0] * finer, size[1] * finer),
                Image.Transform.PERSPECTIVE,
                tuple(back),
                Image.Resampling.BILINEAR,
            ).reduce(finer)
        )
        / np.float32(255)
        for picture in (card, Image.new("L", card.size, 255))
    )
    colour = paint("e8ecf4") if slate.phone else paint("f6f2ea")
    layer = Layer(light[..., None] * colour, cover, int(left), int(top), slate.depth)
    return Held(layer, seen(quiet))


def in_scene(scene: Scene, slate: Slate) -> Scene:
    """Return a scene with a slate held in front of it."""
    layer = held(slate, scene.width, scene.height).layer
    return replace(scene, layers=(*scene.layers, layer))


def _card(slate: Slate, modules: Modules, module: int) -> tuple[Image.Image, Corners, Corners]:
    """The card from the front, with the corners of its code, and of code and quiet zone."""
    qr = modules.shape[0] > 1
    bars = modules.repeat(module, 0 if qr else 1)
    wide = modules.shape[1] * module
    tall = bars.shape[0] if qr else round(slate.bars * wide)
    code = np.broadcast_to(bars.repeat(module, 1) if qr else bars, (tall, wide))
    narrow = _NARROW_ITF if slate.kind == "itf" else 1
    margin = (_QUIET_QR if qr else _QUIET_BARS * narrow) * module
    above, below = round(margin + 0.2 * tall), round(margin + 0.1 * tall)
    sheet = Image.new("L", (wide + 2 * margin, tall + above + below), _PAPER)
    sheet.paste(Image.fromarray(np.where(code, _INK, _PAPER).astype(np.uint8)), (margin, above))
    if slate.inverted:
        sheet = sheet.point(lambda value: _INK + _PAPER - value)
    elif not slate.phone:
        font = ImageFont.load_default(max(0.11 * tall, 6.0))
        ImageDraw.Draw(sheet).text(
            (margin, above - 0.5 * margin), "KILN STREET", fill=_INK, font=font, anchor="ls"
        )
    room = round(0.12 * wide) if slate.phone else 0
    card = Image.new("L", (sheet.width + 2 * room, sheet.height + 4 * room), _BEZEL)
    card.paste(sheet, (room, 2 * room))
    x, y = margin + room, above + 2 * room
    down = margin if qr else 0
    return (
        card,
        _box(x, y, wide, tall),
        _box(x - margin, y - down, wide + 2 * margin, tall + 2 * down),
    )


def _box(x: int, y: int, wide: int, tall: int) -> Corners:
    return np.array([[x, y], [x + wide, y], [x + wide, y + tall], [x, y + tall]], np.float64)


def _seen(points: Corners, slate: Slate, across: float) -> Corners:
    """Where points of the card, px from the code's middle, lie in the picture."""
    turn, tilt, lean = (math.radians(v) for v in (slate.turn_deg, slate.tilt_deg, slate.lean_deg))
    x, y = points[:, 0], points[:, 1]
    x, deep = x * math.cos(tilt), x * math.sin(tilt)
    deep = deep - y * math.sin(lean)
    y = y * math.cos(lean)
    nearer = _AWAY * across / (_AWAY * across + deep)
    x, y = x * nearer, y * nearer
    return np.stack(
        [x * math.cos(turn) + y * math.sin(turn), -x * math.sin(turn) + y * math.cos(turn)], 1
    )


def _homography(of: Corners, to: Corners) -> list[float]:
    """The eight numbers that take four points to four others, as Pillow takes them."""
    rows, wanted = [], []
    for (x, y), (u, v) in zip(of, to, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        wanted += [u, v]
    return [float(value) for value in np.linalg.solve(np.array(rows), np.array(wanted))]
