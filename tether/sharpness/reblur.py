"""How much an edge loses when the picture is smoothed further."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.edges import EdgePoints
from tether.sharpness.octaves import Octave

Floats = NDArray[np.float32]

_BINOMIAL = np.array([1, 4, 6, 4, 1], np.float32) / 16  # a Gaussian of 1 px standard deviation
_SMOOTH = np.pad(_BINOMIAL, 1)
_SLOPE = np.convolve(_BINOMIAL, np.array([1, 0, -1], np.float32) / 2)[::-1].copy()
_NEAR = np.arange(-3, 4)
_LEVEL = np.float32(0.1)  # coded levels a px, so that no gradient is 0


class Reblur(NamedTuple):
    """ln of the gradient over that at half the size, and the edges' normals, rad.

    For an ideal step of standard deviation s under smoothing by a and b the ratio is
    sqrt((s² + b²) / (s² + a²)) (Elder & Zucker, IEEE PAMI 20(7), 1998). Shape (points,).
    """

    log_ratio: Floats
    normal: Floats


def reblur(fine: Octave, coarse: Octave, points: EdgePoints) -> Reblur:
    """Compare gradients across edges in an octave and in the next coarser one.

    Parameters
    ----------
    fine, coarse
        The area at one size and at half of it.
    points
        Edge points of `fine`.
    """
    here = _gradient(fine.coded, points.x, points.y, points.normal)
    beyond = _gradient(coarse.coded, points.x // 2, points.y // 2, points.normal) / 2
    scale = np.float32(fine.scale)
    ratio = np.log((here / scale + _LEVEL) / (beyond / scale + _LEVEL))
    return Reblur(np.asarray(ratio, np.float32), points.normal)


def _gradient(coded: Floats, x: NDArray[np.intp], y: NDArray[np.intp], normal: Floats) -> Floats:
    rows, columns = coded.shape
    row = np.clip(y[:, None] + _NEAR, 0, rows - 1)
    column = np.clip(x[:, None] + _NEAR, 0, columns - 1)
    near = coded[row[:, :, None], column[:, None, :]]
    across = _SMOOTH @ near @ _SLOPE
    up = -(_SLOPE @ near @ _SMOOTH)
    return np.asarray(np.abs(across * np.cos(normal) + up * np.sin(normal)), np.float32)
