"""Edge widths computed the long way, to check the short ways against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Line = NDArray[np.float64]

STEP = 0.01
X = np.arange(-3000, 3001) * STEP


def width(spread: Line) -> float:
    """10–90 % edge width behind a line spread that is sampled on `X`."""
    rise = np.cumsum(spread) / spread.sum()
    low, high = np.interp([0.1, 0.9], rise, X)
    return float(high - low)


def together(*spreads: Line) -> Line:
    """The line spread of blurs that follow one another."""
    found = spreads[0]
    for spread in spreads[1:]:
        found = np.convolve(found, spread, mode="same")
    return found


def box(length: float) -> Line:
    """A pixel's face, or a steady movement."""
    spread: Line = (np.abs(X) <= length / 2).astype(np.float64)
    return spread


def gaussian(sigma: float) -> Line:
    """What many small blurs come to."""
    spread: Line = np.exp(-(X**2) / (2 * sigma**2))
    return spread


def disk(diameter: float) -> Line:
    """A point out of focus, summed along the edge."""
    spread: Line = np.sqrt(np.clip((diameter / 2) ** 2 - X**2, 0, None))
    return spread
