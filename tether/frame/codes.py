"""The codes in a small part of a frame: QR codes and bar codes, read by zxing-cpp.

A QR code corrects its errors, and nothing else reads as one. Bars do: slats, ribs, spines on a
shelf. What is read in them counts only if two of three lines across the bars say it, more than
say anything else, and if nothing but paper lies beside both its ends, as the standards ask:
a part of a longer code, or of slats that go on, has bars there. Codes of bars with fewer than four
characters are not taken, nor are other kinds of code, which nobody's texture needs to be.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from tether.frame.view import Small

Corners = NDArray[np.float64]

_KINDS = ("QRCodeModel2", "EANUPC", "Code128", "Code39", "ITF")
_BARS = _KINDS[1:]
_LINES = (-0.05, 0.0, 0.05)  # of the code's width, up and down from its middle
_LINE = 0.03  # of the code's width: how high a line is, and
_LINE_PX = 3  # at least
_FINER = 3
_SOFT_PX = 1.5
_SHARPENED = (0.0, 2.0, 4.0)
_AROUND = 0.35  # of the code's width, on either side
_FEWEST = 4  # characters
_FEWEST_ITF = 6  # digits: it has no check digit
_QUIET = 4  # modules of paper beside a code's ends: GS1 and ISO/IEC ask for 7 to 11
_MIDDLE = 320  # px of a part that tell how its bars lie
_BAND = 0.25  # of a part's diagonal, that is read once it lies straight
_ALIGNED = 0.5  # how much of all change goes one way, where bars are
_STRAIGHT_DEG = 3.0


@dataclass(frozen=True, slots=True)
class Found:
    """A code: its text, whether it is text at all, and its corners, px of the part, shape (4, 2)."""

    text: str
    is_text: bool
    corners: Corners

    @property
    def long_side(self) -> float:
        """Px of the part."""
        return max(math.dist(self.corners[0], self.corners[at]) for at in (1, 3))


def codes(part: Small) -> list[Found]:
    """Read the codes of a part of a frame, shape (rows, columns); none where nothing is sure."""
    found = [one for code in _read(part, _KINDS) if (one := _sure(part, code)) is not None]
    return found or _turned(part)


def _turned(part: Small) -> list[Found]:
    """Read bars that lie aslant, where rows and columns of pixels cross too few of them."""
    height, width = part.shape
    y, x = max((height - _MIDDLE) // 2, 0), max((width - _MIDDLE) // 2, 0)
    angle, share = _across(part[y : y + _MIDDLE, x : x + _MIDDLE])
    if share < _ALIGNED or min(abs(angle), 90 - abs(angle)) < _STRAIGHT_DEG:
        return []
    side = math.ceil(math.hypot(height, width))
    middle = np.array([width / 2, height / 2])
    upright, back = _straightened(part, middle, angle, side, math.ceil(_BAND * side))
    found = []
    for code in _read(upright, _BARS):
        corners = _corners(code) @ back[:, :2].T + back[:, 2]
        one = _sure(part, code, corners)
        found += [one] if one is not None else []
    return found


def _sure(part: Small, code: Any, at: Corners | None = None) -> Found | None:
    """The code, if what it was read from bears it out."""
    import zxingcpp

    corners = _corners(code) if at is None else at
    is_text = code.content_type != zxingcpp.ContentType.Binary
    if code.symbology == zxingcpp.BarcodeFormat.QRCode:
        return Found(code.text, is_text, corners)
    if len(code.text) < _fewest(code):
        return None
    width = math.dist(corners[0], corners[1])
    if width < 1:
        return None
    lines = _lines(part, corners, width)
    told = [_told(line, code) for line in lines]
    votes = Counter(text for text, _ in told if text)
    if votes[code.text] < 2 or votes.most_common(1)[0][0] != code.text:
        return None
    quiet = [beside for text, beside in told if text == code.text]
    return Found(code.text, is_text, corners) if sum(quiet) >= 2 else None


def _fewest(code: Any) -> int:
    import zxingcpp

    return _FEWEST_ITF if code.symbology == zxingcpp.BarcodeFormat.ITF else _FEWEST


def _lines(part: Small, corners: Corners, width: float) -> list[Small]:
    """Lines across the bars of a code and beyond its ends, each the mean of a few rows."""
    middle = corners.mean(0)
    along = corners[1] - corners[0]
    angle = math.degrees(math.atan2(-along[1], along[0]))
    reach = math.ceil((1 + 2 * _AROUND) * width)
    tall = math.ceil((_LINES[-1] - _LINES[0] + _LINE) * width) + 2 * _LINE_PX
    # Where the code lies is known; how its bars lie, the picture around it tells better.
    rough, _ = _straightened(part, middle, angle, math.ceil(0.8 * width), tall)
    lean, share = _across(rough)
    if share >= _ALIGNED:
        angle += lean
    upright, _ = _straightened(part, middle, angle, reach, tall)
    high = max(math.ceil(_LINE * width), _LINE_PX)
    lines = []
    for at in _LINES:
        top = round(tall / 2 + at * width - high / 2)
        line = upright[max(top, 0) : top + high].mean(0)
        lines.append(np.asarray(np.rint(line), np.uint8))
    return lines


def _told(line: Small, code: Any) -> tuple[str, bool]:
    """What a line says, and whether there is paper beside the ends of that."""
    import cv2

    # Finer and sharper than it came: bars of a pixel or two, out of focus, are read from there.
    fine = cv2.resize(
        line[np.newaxis].astype(np.float32), None, fx=_FINER, fy=1, interpolation=cv2.INTER_CUBIC
    )
    detail = fine - cv2.GaussianBlur(fine, (0, 0), _SOFT_PX * _FINER)
    kind = (str(code.symbology).rsplit(".", 1)[-1],)
    said = ""
    for sharper in _SHARPENED:
        coded = np.asarray(np.clip(np.rint(fine + sharper * detail), 0, 255), np.uint8)
        rows = np.ascontiguousarray(np.broadcast_to(coded, (16, coded.size)))
        for again in _read(rows, kind, rotate=False):
            if again.text == code.text:
                x = sorted(float(corner[0]) for corner in _corners(again))
                return again.text, _is_quiet(fine[0], x[0], x[-1], _QUIET / _modules(again))
            said = again.text
    return said, False


def _is_quiet(line: NDArray[np.float32], left: float, right: float, share: float) -> bool:
    """Whether a line is paper alone beside both ends, `share` of the code's width from it."""
    inside = line[max(round(left), 0) : round(right) + 1]
    if inside.size < 2:
        return False
    low, high = np.percentile(inside, (5, 95))
    room = share * (right - left)
    # A blurred end reaches out a little.
    edge = 0.25 * room
    ends = (
        line[max(round(left - room), 0) : max(round(left - edge), 0)],
        line[round(right + edge) : round(right + room)],
    )
    if any(end.size == 0 for end in ends):
        return False
    half = (low + high) / 2
    return all((end > half).all() for end in ends) or all((end < half).all() for end in ends)


def _modules(code: Any) -> int:
    """About how many modules a code of bars is wide (GS1 and ISO/IEC 15417, 16388, 16390)."""
    import zxingcpp

    kind, characters = code.format, len(code.text)
    fixed = {
        zxingcpp.BarcodeFormat.EAN13: 95,
        zxingcpp.BarcodeFormat.UPCA: 95,
        zxingcpp.BarcodeFormat.EAN8: 67,
        zxingcpp.BarcodeFormat.UPCE: 51,
    }
    if kind in fixed:
        return fixed[kind]
    if code.symbology == zxingcpp.BarcodeFormat.ITF:
        return 8 * characters + 8
    if code.symbology == zxingcpp.BarcodeFormat.Code39:
        return 14 * (characters + 2)
    # Digits may go in pairs: fewer modules, of which four are then more.
    digits = code.text.isdigit()
    return 11 * (math.ceil(characters / 2) if digits else characters) + 35


def _across(part: Small) -> tuple[float, float]:
    """The angle, degrees counter-clockwise in (-90, 90], that most change goes along, and how much.

    The share is the coherence of the structure tensor: 1 for bars, 0 where all directions are
    alike (Bigün and Granlund, 1987).
    """
    import cv2

    soft = cv2.GaussianBlur(part, (0, 0), 1.0)
    x, y = (cv2.Sobel(soft, cv2.CV_32F, *order, ksize=3) for order in ((1, 0), (0, 1)))
    xx, yy, xy = float((x * x).sum()), float((y * y).sum()), float((x * y).sum())
    if xx + yy <= 0:
        return 0.0, 0.0
    share = math.hypot(xx - yy, 2 * xy) / (xx + yy)
    # Rows count downwards.
    return -math.degrees(math.atan2(2 * xy, xx - yy)) / 2, share


def _straightened(
    part: Small, middle: NDArray[np.float64], angle: float, wide: int, high: int
) -> tuple[Small, NDArray[np.float64]]:
    """The part turned so that `angle` lies along its rows, about `middle`, and the way back.

    What lies outside the part repeats its edge.
    """
    import cv2

    turn = math.radians(angle)
    back = np.array([[math.cos(turn), math.sin(turn), 0.0], [-math.sin(turn), math.cos(turn), 0.0]])
    back[:, 2] = middle - back[:, :2] @ np.array([wide / 2, high / 2])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    turned = cv2.warpAffine(part, back, (wide, high), flags=flags, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(turned, np.uint8), back


def _read(part: Small, kinds: tuple[str, ...], *, rotate: bool = True) -> list[Any]:
    import zxingcpp

    return list(
        zxingcpp.read_barcodes(
            part, formats=_formats(kinds), try_rotate=rotate, text_mode=zxingcpp.TextMode.Plain
        )
    )


@cache
def _formats(kinds: tuple[str, ...]) -> Any:
    import zxingcpp

    return zxingcpp.barcode_formats_from_str(",".join(kinds))


def _corners(code: Any) -> Corners:
    p = code.position
    four = (p.top_left, p.top_right, p.bottom_right, p.bottom_left)
    return np.array([(corner.x, corner.y) for corner in four], np.float64)
