"""Which eyes of a face are seen: an open eye is darker in its middle than around it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tether.frame.faces import Face
from tether.frame.pixels import Luma
from tether.frame.view import View, view
from tether.model import Rect

# In eye distances; an iris is some 0.18 across (common practice, no source).
_IRIS = 0.075  # radius of the disk that is held against
_RING = (0.12, 0.17)  # what lies around it
_GAZE = 0.07  # how far an iris is off where the eye was told to be
_CELL = 0.025

# Found by trying, of the tones about both eyes: open eyes 0.25 to 0.55, from 0.15 where edges are
# a seventh of the eyes' distance wide; a closed one with its lashes 0.15; dark glasses, and skin
# where an eye should be, up to 0.01. Of two open eyes the fainter had at least half of the other,
# even with the light from one side; a closed or covered one had at most 0.35 of the open one.
_LEAST = 0.03
_OF_THE_OTHER = 0.42


def eyes_shown(luma: Luma, face: Face, unit: float) -> tuple[bool, bool]:
    """Tell whether the right and the left eye of a face are seen.

    One that is closed or hidden is told from an open one beside it. Two closed ones are not, as
    long as lashes draw a dark line: they are as dark as two that are out of focus.

    Parameters
    ----------
    luma
        The frame, uint8 or uint16, shape (rows, columns), as stored.
    face
        One of its faces.
    unit
        Eye distance of the face if it were seen from the front, px.
    """
    seen = _around(luma, face, unit)
    if seen is None:
        return False, False
    right, left = (_darker(seen, eye, unit) for eye in (face.right_eye, face.left_eye))
    least = max(_LEAST, _OF_THE_OTHER * max(right, left))
    return right >= least, left >= least


def _around(luma: Luma, face: Face, unit: float) -> View | None:
    """Both eyes and what is around them, a px a cell."""
    rows, columns = luma.shape
    eyes = np.array([face.right_eye, face.left_eye])
    reach = unit * (_RING[1] + _GAZE + _CELL)
    left, top = (max(math.floor(v), 0) for v in eyes.min(axis=0) - reach)
    right, bottom = (math.ceil(v) for v in eyes.max(axis=0) + reach)
    width, height = min(right, columns) - left, min(bottom, rows) - top
    if min(width, height) < 2:
        return None
    longest = max(width, height)
    return view(luma, Rect(left, top, width, height), max(round(longest / unit / _CELL), 2))


def _darker(seen: View, eye: tuple[float, float], unit: float) -> float:
    """How much darker a disk is than the ring about it, in full tones: at the darkest place."""
    import cv2

    cells = unit / seen.back[0, 0]  # px of the small picture in an eye distance
    tones = seen.picture.astype(np.float32) / 255
    disk = cv2.filter2D(tones, -1, _disk(0, _IRIS * cells), borderType=cv2.BORDER_REPLICATE)
    ring = cv2.filter2D(
        tones, -1, _disk(_RING[0] * cells, _RING[1] * cells), borderType=cv2.BORDER_REPLICATE
    )
    x, y = (np.array(eye) - seen.back[:, 2]) / [seen.back[0, 0], seen.back[1, 1]]
    rows, columns = np.indices(tones.shape)
    near = np.hypot(columns + 0.5 - x, rows + 0.5 - y) <= max(_GAZE * cells, 1)
    return float(np.max((ring - disk)[near], initial=0))


def _disk(inner: float, outer: float) -> NDArray[np.float32]:
    """A ring of weights whose sum is 1; radii in px."""
    reach = max(math.ceil(outer), 1)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    away = np.hypot(x, y)
    inside = (away >= inner) & (away <= max(outer, 0.5))
    return np.asarray(inside / max(inside.sum(), 1), np.float32)
