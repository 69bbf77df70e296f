"""The codes in a small part of a frame: QR codes, and bars where the picture bears them out.

Other kinds of code are not taken: each more would read textures as well, and ask for its time.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.bars import across, borne_out, straightened
from tether.frame.scanned import BARS, QR, Scanned, scan

if TYPE_CHECKING:
    from tether.frame.view import Small

_MIDDLE = 320  # px of a part that tell how its bars lie
_BAND = 0.25  # of a part's diagonal, that is read once it lies straight
_ALIGNED = 0.5  # how much of all change goes one way, where bars are


def codes(part: Small) -> list[Scanned]:
    """Read the codes of a part of a frame, shape (rows, columns); none where nothing is sure."""
    found = scan(part, (QR, *BARS))
    sure = [one for one in found if one.family == QR or borne_out(part, one)]
    return sure or _laid_straight(part)


def _laid_straight(part: Small) -> list[Scanned]:
    """Read bars that lie aslant, where rows and columns of pixels cross too few of them.

    Light bars on dark are read here, too: zxing-cpp takes them in QR codes alone.
    """
    height, width = part.shape
    y, x = max((height - _MIDDLE) // 2, 0), max((width - _MIDDLE) // 2, 0)
    angle, share = across(part[y : y + _MIDDLE, x : x + _MIDDLE])
    if share < _ALIGNED:
        return []
    side = math.ceil(math.hypot(height, width))
    middle = np.array([width / 2, height / 2])
    upright, back = straightened(part, middle, angle, side, math.ceil(_BAND * side))
    for whole, band in ((part, upright), (~part, ~upright)):
        found = [
            replace(one, corners=one.corners @ back[:, :2].T + back[:, 2])
            for one in scan(band, BARS, rotate=False)
        ]
        sure = [one for one in found if borne_out(whole, one)]
        if sure:
            return sure
    return []
