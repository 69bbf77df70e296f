"""A second look at a face, larger and levelled: its points again, and whether it is one.

The points that the cascade tells of a face of 25 px are 15 % of the eyes' distance off, as often as
not; looked at like this, of the same faces, 4 %.
"""

from __future__ import annotations

import math

import numpy as np

from tether.frame.cascade import FIVE_SIDE, five_points
from tether.frame.pixels import Luma
from tether.frame.view import Points, View, joined, view, warped
from tether.model import Rect

# Found by trying, on two portraits turned by up to 35 degrees: how many times the eyes' distance
# the last network is shown, and how far its middle lies below the points' own, in shares of that.
_SIDE = 2.6
_BELOW = 0.05
_ROUNDS = 2
_REACH = 0.8  # of the side, about the middle, that is cut out: turned, and moved a little
_LONG_SIDE = 160  # px it is reduced to
_AS_LONG = 0.9  # a face is so many times as long from eyes to mouth as from eye to eye


def look_closely(luma: Luma, points: Points) -> tuple[Points, float] | None:
    """Tell the points of a face anew from its full size.

    Parameters
    ----------
    luma
        The frame, uint8 or uint16, shape (rows, columns).
    points
        Shape (5, 2), px of the frame: eyes, nose tip, corners of the mouth, as `cascade` tells
        them, of a face turned and mirrored in any way.

    Returns
    -------
    tuple of ndarray and float, or None
        The points, and how sure it is that this is a face, 0 to 1: the mean over the face and its
        mirror image. None where these are no points of a face, or none of this frame.
    """
    size = _size(points)
    seen = _cut_out(luma, points.mean(axis=0), size) if 1 < size < 4 * max(luma.shape) else None
    if seen is None:
        return None
    score = 0.0
    for _ in range(_ROUNDS):
        axes = _axes(points)
        if axes is None:
            return None
        once, sure = _told(seen, points, axes)
        again, surer = _told(seen, points, axes * [-1.0, 1.0])
        points = (once + again[[1, 0, 2, 4, 3]]) / 2
        score = (sure + surer) / 2
    return points, score


def _size(points: Points) -> float:
    """Side of the square that is shown of a face, px; a turned face has its eyes closer."""
    across = math.dist(points[0], points[1])
    down = math.dist(points[:2].mean(axis=0), points[3:].mean(axis=0))
    return _SIDE * max(across, _AS_LONG * down)


def _axes(points: Points) -> Points | None:
    """Unit vectors across and down the face, as columns; the sense of rotation may be either."""
    across = points[1] - points[0] + points[4] - points[3]
    length = float(np.hypot(*across))
    if length < 1e-6:
        return None
    across = across / length
    down = np.array([-across[1], across[0]])
    if (points[3:].mean(axis=0) - points[:2].mean(axis=0)) @ down < 0:
        down = -down
    return np.stack([across, down], axis=1)


def _cut_out(luma: Luma, middle: Points, size: float) -> View | None:
    rows, columns = luma.shape
    left, top = (max(int(v), 0) for v in middle - _REACH * size)
    right, bottom = (math.ceil(v) for v in middle + _REACH * size)
    width, height = min(right, columns) - left, min(bottom, rows) - top
    if min(width, height) < 2:
        return None
    return view(luma, Rect(left, top, width, height), _LONG_SIDE)


def _told(seen: View, points: Points, axes: Points) -> tuple[Points, float]:
    """What the last network tells of a face that it is shown with these axes, px of the frame."""
    length = _size(points) / FIVE_SIDE
    middle = points.mean(axis=0) + axes[:, 1] * _BELOW * length * FIVE_SIDE
    to_frame = np.column_stack([axes * length, middle - axes @ np.full(2, length * FIVE_SIDE / 2)])
    to_view = joined(_inverse(seen.back), to_frame)
    told, score = five_points(warped(seen.picture, to_view, FIVE_SIDE))
    return told @ to_frame[:, :2].T + to_frame[:, 2], score


def _inverse(there: Points) -> Points:
    matrix = np.linalg.inv(there[:, :2])
    return np.column_stack([matrix, -matrix @ there[:, 2]])
