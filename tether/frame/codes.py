"""The codes in a small part of a frame: QR codes, and bars where the picture bears them out.

Other kinds of code are not taken: each more would read textures as well, and ask for its time.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.aslant import ALIGNED, across, straightened
from tether.frame.bar_lines import read_line
from tether.frame.bars import borne_out
from tether.frame.scanned import BARS, QR, Scanned, scan

if TYPE_CHECKING:
    from tether.frame.view import Small

_MIDDLE = 320  # px of a part that tell how its bars lie
_BAND = 0.25  # of a part's diagonal, that is read once it lies straight
_LINES = (0.5, 0.35, 0.65)  # of the band's height
_LINE = 0.04  # of a part's diagonal, the height of a line
_BESIDE = 0.5  # of a code's longer side: what is read nearer to its middle is that code


def codes(part: Small) -> list[Scanned]:
    """Read the codes of a part of a frame, shape (rows, columns); none where nothing is sure."""
    found = scan(part, (QR, *BARS))
    return [one for one in found if one.family == QR] + _sure(part, found) or _straight(part)


def the_best(found: list[Scanned]) -> list[Scanned]:
    """The codes, and of several in one place one alone: the surest, or the whole and no part."""
    kept: list[Scanned] = []
    for one in sorted(found, key=lambda code: -code.sure * code.long_side):
        if not any(_same_place(one, other) for other in kept):
            kept.append(one)
    return kept


def _sure(part: Small, found: list[Scanned]) -> list[Scanned]:
    """Those of bars that the picture bears out."""
    told = [replace(one, sure=borne_out(part, one)) for one in found if one.family != QR]
    return [one for one in told if one.sure > 0]


def _same_place(one: Scanned, other: Scanned) -> bool:
    apart = math.dist(one.corners.mean(0), other.corners.mean(0))
    return apart < _BESIDE * max(one.long_side, other.long_side)


def _straight(part: Small) -> list[Scanned]:
    """Read bars that lie aslant, where rows and columns of pixels cross too few of them.

    Single lines are sharpened, which reads what is out of focus; and light bars on dark are read
    here, which zxing-cpp takes in QR codes alone.
    """
    height, width = part.shape
    y, x = max((height - _MIDDLE) // 2, 0), max((width - _MIDDLE) // 2, 0)
    angle, share = across(part[y : y + _MIDDLE, x : x + _MIDDLE])
    if share < ALIGNED:
        return []
    side = math.ceil(math.hypot(height, width))
    middle = np.array([width / 2, height / 2])
    band, back = straightened(part, middle, angle, side, math.ceil(_BAND * side))

    def placed(found: list[Scanned]) -> list[Scanned]:
        return [replace(one, corners=one.corners @ back[:, :2].T + back[:, 2]) for one in found]

    return (
        _sure(part, placed(scan(band, BARS, rotate=False)))
        or _sure(~part, placed(scan(~band, BARS, rotate=False)))
        or _sure(part, placed(_along_lines(band)))
    )


def _along_lines(band: Small) -> list[Scanned]:
    found = []
    high = max(round(_LINE * band.shape[1]), 1)
    for at in _LINES:
        top = round(at * band.shape[0] - high / 2)
        one = read_line(band[max(top, 0) : top + high].mean(0, dtype=np.float32))
        if one is not None:
            corners = one.corners.copy()
            corners[:, 1] = at * band.shape[0]
            found.append(replace(one, corners=corners))
    return found
