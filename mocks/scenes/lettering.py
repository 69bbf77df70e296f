"""The printed card beside a piece: the finest detail that a client must be able to read."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from mocks import blur
from mocks.light import Field, as_field, paint
from mocks.scenes.surface import grain

_FINER = 4
_LENS = 0.72
_INK = 28
_PAPER = 255


def card(scale: float = 1.0, turn_deg: float = 3.5) -> tuple[Field, Field]:
    """Draw the card in focus.

    Parameters
    ----------
    scale
        Its size; at 1 the card is 330 by 216 px.
    turn_deg
        How far it is turned, degrees counter-clockwise.

    Returns
    -------
    light, cover
        Premultiplied linear light, shape (h, w, 3), and coverage, shape (h, w).
    """
    finer = _FINER if scale < 2 else _FINER // 2
    unit = finer * scale
    size = (round(330 * unit), round(216 * unit))
    sheet = Image.new("L", size, _PAPER)
    draw = ImageDraw.Draw(sheet)

    def write(x: float, y: float, text: str, height: float, anchor: str = "ls") -> None:
        font = ImageFont.load_default(height * unit)
        draw.text((x * unit, y * unit), text, fill=_INK, font=font, anchor=anchor)

    def rule(x0: float, y0: float, x1: float, y1: float) -> None:
        draw.rectangle((x0 * unit, y0 * unit, x1 * unit - 1, y1 * unit - 1), fill=_INK)

    write(22, 50, "KILN STREET", 33)
    rule(22, 62, 308, 64)
    write(22, 92, "Bowl No. 14, wheel-thrown", 20)
    write(22, 115, "stoneware, fired at 1280 °C", 17)
    write(22, 136, "tenmoku over iron speckle, 21 cm", 14)
    x = 22.0
    for width in (2, 3, 2, 5, 3, 2, 2, 4, 2, 3, 5, 2, 3, 2, 2, 5, 2, 3, 4, 2, 2, 3, 2, 5, 3, 2):
        rule(x, 152, x + width * 0.8, 184)
        x += width * 0.8 + 2.6
    write(22, 202, "KS 0014 2719 06", 13)
    write(308, 192, "48.00", 38, "rs")
    margin = round(14 * unit)
    whole = Image.new("L", (size[0] + 2 * margin, size[1] + 2 * margin), 0)
    ink = whole.copy()
    whole.paste(255, (margin, margin, margin + size[0], margin + size[1]))
    ink.paste(sheet, (margin, margin))
    turned = [
        _reduced(p.rotate(turn_deg, Image.Resampling.BILINEAR, expand=True), finer)
        for p in (ink, whole)
    ]
    cover = turned[1]
    fibre = 1 + 0.015 * grain(cover.shape, 0.8, 11) + 0.012 * grain(cover.shape, 3.0, 12)
    reflectance = turned[0] * fibre
    stack = np.dstack([reflectance[..., None] * paint("f1e9da"), cover])
    soft = blur.apply(as_field(stack), blur.gaussian(_LENS))
    return soft[..., :3], soft[..., 3]


def _reduced(picture: Image.Image, by: int) -> Field:
    """Return the mean over blocks of `by` px, ink and paper taken as linear light."""
    return as_field(picture.reduce(by)) / np.float32(255)
