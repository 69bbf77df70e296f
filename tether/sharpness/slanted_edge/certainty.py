"""How far noise may have moved a result."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_LAGS = 4  # lines; noise that a camera or JPEG smoothed is shared by neighbours


def standard_error(
    influence: Floats, residual: Floats, line: NDArray[np.intp], parameters: int
) -> float:
    """Standard error of a result that is a weighted sum of pixels.

    The pixels' own residuals stand for their noise, summed line by line and with the lines
    beside, so that it may differ between dark and bright and be shared by neighbours (Newey and
    West, *Econometrica* 55(3) 703–708, 1987). Where noise is shared by 3 x 3 px, nine intervals in
    ten hold the truth instead of nineteen in twenty.

    Parameters
    ----------
    influence
        How much each pixel moves the result, shape (pixels,).
    residual
        What each differs from the fit, of the same shape.
    line
        Number of the line it lies in, of the same shape.
    parameters
        How many numbers the fit has taken from the residuals.
    """
    sums = np.bincount(line, influence * residual)
    variance = float(sums @ sums)
    for lag in range(1, min(_LAGS, len(sums) - 1) + 1):
        variance += 2 * (1 - lag / (_LAGS + 1)) * float(sums[lag:] @ sums[:-lag])
    # The fit leaves no residual to the sum of all lines, so that every window over them lacks some.
    variance /= max(1 - (_LAGS + 1) / len(sums), 0.5)
    alone = float(((influence * residual) ** 2).sum())
    freedom = len(residual) / max(len(residual) - parameters, 1)
    # Lags can cancel by chance; neighbours that share noise cannot make it smaller.
    return math.sqrt(max(variance, alone) * freedom)
