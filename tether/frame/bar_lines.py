"""Reading bars along one line across them, sharpened as far as it takes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tether.frame.scanned import BARS, Scanned, scan

Line = NDArray[np.float32]

_FINER = 3  # times
_SOFT_PX = 1.5
_SHARPENED = (0.0, 2.0, 4.0)
_ROWS = 16  # of a picture that is made of one line


def read_line(line: Line, wanted: str | None = None) -> Scanned | None:
    """Read the bars that a line crosses: of one or two pixels, and out of focus, too.

    Parameters
    ----------
    line
        Coded values, shape (n,).
    wanted
        A text to be read if any sharpening yields it.

    Returns
    -------
    Scanned or None
        Its corners are px of the line; their y tells nothing.
    """
    import cv2

    fine = cv2.resize(line[np.newaxis], None, fx=_FINER, fy=1, interpolation=cv2.INTER_CUBIC)
    detail = fine - cv2.GaussianBlur(fine, (0, 0), _SOFT_PX * _FINER)
    found = None
    for sharper in _SHARPENED:
        coded = np.asarray(np.clip(np.rint(fine + sharper * detail), 0, 255), np.uint8)
        rows = np.ascontiguousarray(np.broadcast_to(coded, (_ROWS, coded.size)))
        for one in scan(rows, BARS, rotate=False):
            found = replace(one, corners=one.corners / _FINER)
            if wanted in {None, one.text}:
                return found
    return found
