"""How fast coded values change across an area."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

REACH = 3
"""Pixels that the filter needs on every side."""

_PASSES = 4  # of [1 1]: a Gaussian of 1 px standard deviation
_GAIN = np.float32(1 / (2 * 4**_PASSES))


class Gradients(NamedTuple):
    """Gradients in coded levels (of 255) a px.

    `across` points to +x, `up` to +y, against the rows; `square` is the sum of their squares.
    """

    across: Floats
    up: Floats
    square: Floats


def gradients(coded: Floats) -> Gradients:
    """Differentiate after smoothing by a binomial of 1 px standard deviation.

    Parameters
    ----------
    coded
        Coded values on a scale of 0 to 255, shape (rows, columns), at least 7 x 7.

    Returns
    -------
    Gradients
        Each of shape (rows - 6, columns - 6).
    """
    s = coded
    for _ in range(_PASSES):
        s = s[:, 1:] + s[:, :-1]
    for _ in range(_PASSES):
        s = s[1:] + s[:-1]
    s *= _GAIN
    across = s[1:-1, 2:] - s[1:-1, :-2]
    up = s[:-2, 1:-1] - s[2:, 1:-1]
    square = across * across
    square += up * up
    return Gradients(across, up, square)
