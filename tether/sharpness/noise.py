"""Noise of an area, told from its flattest parts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

BLOCK = 8
"""Side of the blocks, px, among which the flattest are sought."""

_SHARE = 0.1
# Mean of the blocks' tenth percentile over the true mean, for squares of white noise.
_LOW_BY = 0.8


def block_means(square: NDArray[np.float32]) -> NDArray[np.float32]:
    """Mean of a squared response over blocks of 8 x 8; what does not fill a block is left out.

    Parameters
    ----------
    square
        Shape (rows, columns).

    Returns
    -------
    ndarray
        Shape (rows // 8 * (columns // 8),).
    """
    h, w = (n // BLOCK for n in square.shape)
    rows = square[: h * BLOCK, : w * BLOCK].reshape(h, BLOCK, w * BLOCK).sum(1)
    return np.asarray(rows.reshape(h * w, BLOCK).sum(1) / np.float32(BLOCK**2))


def flattest(means: NDArray[np.float32]) -> float:
    """Mean of a squared response where it is least: that of noise alone.

    Parameters
    ----------
    means
        Means over blocks of the squared response of a filter that is blind to flat ground.

    Returns
    -------
    float
        Their tenth percentile divided by 0.8, which it is of the true mean where there is
        nothing but white noise; 0 without blocks.
    """
    if len(means) == 0:
        return 0.0
    nth = int(_SHARE * len(means))
    return float(np.partition(means, nth)[nth]) / _LOW_BY


def pixel_noise(coded: NDArray[np.float32]) -> float:
    """Standard deviation of a pixel's noise, as a fraction of full scale.

    Parameters
    ----------
    coded
        Coded values on a scale of 0 to 255, shape (rows, columns).

    Returns
    -------
    float
        From second differences along every other row, whose variance is 6 times that of white
        noise. Noise that a camera smoothed, and that JPEG took out, reads too low.
    """
    rows = coded[::2]
    if rows.shape[0] < BLOCK or rows.shape[1] < BLOCK + 2:
        return 0.0
    second = rows[:, 1:-1] * np.float32(-2)
    second += rows[:, :-2]
    second += rows[:, 2:]
    second *= second
    return float(np.sqrt(flattest(block_means(second)) / 6) / 255)
