"""Light across edges, sampled where the pixels are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.edges import EdgePoints
from tether.sharpness.octaves import Octave

Floats = NDArray[np.float32]

REACH = 13
"""Pixels of a profile on either side of its edge."""


def profiles(octave: Octave, points: EdgePoints) -> tuple[Floats, Floats]:
    """Sample the light across every edge, along a row or a column.

    Whichever crosses the edge less aslant. No value is interpolated: that would widen narrow edges.

    Parameters
    ----------
    octave
        The area at one size.
    points
        Edge points of that octave.

    Returns
    -------
    tuple of ndarray
        Light less that of the edge point itself, and 1 where a sample is clipped or outside the
        pixels, else 0. Both of shape (points, 2 `REACH` + 1).
    """
    rows, columns = octave.light.shape
    k = np.arange(-REACH, REACH + 1)
    steep = points.steep[:, None]
    x = points.x[:, None] + k * ~steep
    y = points.y[:, None] - k * steep
    at = np.clip(y, 0, rows - 1) * columns + np.clip(x, 0, columns - 1)
    outside = (x < 0) | (x >= columns) | (y < 0) | (y >= rows)
    light = octave.light.take(at)
    light -= light[:, REACH : REACH + 1].copy()
    return light, (octave.clipped.take(at) | outside).astype(np.float32)


def pace(points: EdgePoints) -> Floats:
    """Distance across the edge from one sample of a profile to the next, px; shape (points,).

    The cosine between profile and normal, as along the rows of ISO 12233's slanted edge.
    """
    return np.maximum(np.abs(np.cos(points.normal)), np.abs(np.sin(points.normal)))
