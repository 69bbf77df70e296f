"""Boxes that may hold the same thing: moved, made square, and thinned to the best of each."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


def moved(boxes: Floats, shifts: Floats) -> Floats:
    """Move each corner by a share of the box's own width and height, both of shape (n, 4)."""
    size = boxes[:, 2:] - boxes[:, :2]
    return np.asarray(boxes + shifts * np.concatenate([size, size], axis=1), np.float32)


def square(boxes: Floats) -> Floats:
    """Grow the shorter side of each box about its middle, shape (n, 4)."""
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    half = np.max(boxes[:, 2:] - boxes[:, :2], axis=1, keepdims=True) / 2
    return np.concatenate([middle - half, middle + half], axis=1)


def apart(
    boxes: Floats, scores: Floats, most: float, *, of_smaller: bool = False
) -> NDArray[np.intp]:
    """Pick the best of boxes that overlap.

    Parameters
    ----------
    boxes, scores
        Shapes (n, 4): left, top, right, bottom; and (n,).
    most
        Overlap that two picked boxes may have: their common area over their joint area, or over
        the smaller one's with `of_smaller`.

    Returns
    -------
    ndarray
        Indices of the picked boxes, best first.
    """
    area = np.prod(np.maximum(boxes[:, 2:] - boxes[:, :2], 0), axis=1)
    left = np.argsort(-scores, kind="stable")
    picked = []
    while left.size:
        best, left = left[0], left[1:]
        picked.append(best)
        low = np.maximum(boxes[best, :2], boxes[left, :2])
        high = np.minimum(boxes[best, 2:], boxes[left, 2:])
        common = np.prod(np.maximum(high - low, 0), axis=1)
        joint = area[best] + area[left] - common
        whole = np.minimum(area[best], area[left]) if of_smaller else joint
        left = left[common <= most * whole]
    return np.array(picked, np.intp)
