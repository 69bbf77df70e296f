"""The edge spread function, at four points a pixel."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_solve_banded, cholesky_banded

Floats = NDArray[np.float64]

STEP = 0.25
"""Distance of its points, px, as in ISO 12233."""

# Weight of the squared third differences against the pixels of a knot: 0.1 % is taken from the
# response at 0.5 cycles/px, nothing from lower ones, and gaps between the phases are bridged.
_SMOOTHNESS = 0.003
_THIRD_DIFFERENCE = (-1.0, 3.0, -3.0, 1.0)
_BANDS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """A cubic spline through the pixels about an edge.

    `x` are its points, px from the edge, and `e` its values there, both of shape (points,);
    `residual` is what the pixels differ from it, shape (pixels,).
    """

    x: Floats
    e: Floats
    residual: Floats
    _coefficients: Floats
    _first: NDArray[np.intp]
    _weights: Floats  # (_BANDS, pixels)
    _factor: Floats

    @property
    def parameters(self) -> int:
        """How many numbers were fitted."""
        return len(self._coefficients)

    def at(self, x: Floats) -> Floats:
        """Value at distances within the points."""
        first, weights = _basis(x, self.x[0], len(self.x))
        return _valued(self._coefficients, first, weights)

    def influence(self, gradient: Floats) -> Floats:
        """How much each pixel moves a result.

        Parameters
        ----------
        gradient
            How much each of the points `e` moves it, shape (points,).

        Returns
        -------
        ndarray
            Shape (pixels,).
        """
        by_coefficient = np.zeros(len(self._coefficients))
        for k, weight in enumerate((1 / 6, 4 / 6, 1 / 6)):
            by_coefficient[k : k + len(gradient)] += weight * gradient
        solved = cho_solve_banded((self._factor, True), by_coefficient)
        return _valued(solved, self._first, self._weights)


def fit_spread(distance: Floats, light: Floats, reach: float) -> Spread:
    """Fit the edge spread function.

    Parameters
    ----------
    distance
        Distance of pixels from the edge, px, shape (pixels,), all within `half_length(reach)`.
    light
        Their light, of the same shape.
    reach
        How far from the edge it is wanted, px.
    """
    half = half_length(reach)
    points = round(2 * half / STEP) + 1
    first, weights = _basis(distance, -half, points)
    count = points + 2
    bands = np.zeros((_BANDS, count))
    right = np.zeros(count)
    for i in range(_BANDS):
        right += np.bincount(first + i, weights[i] * light, count)
        for j in range(i, _BANDS):
            bands[j - i] += np.bincount(first + i, weights[i] * weights[j], count)
    bands += _SMOOTHNESS * len(distance) / count * _roughness(count)
    factor = cholesky_banded(bands, lower=True)
    coefficients = cho_solve_banded((factor, True), right)
    e = (coefficients[:-2] + 4 * coefficients[1:-1] + coefficients[2:]) / 6
    x: Floats = np.asarray(-half + STEP * np.arange(points), np.float64)
    residual = light - _valued(coefficients, first, weights)
    return Spread(x, e, residual, coefficients, first, weights, factor)


def half_length(reach: float) -> float:
    """Distance to which pixels are used, px: whole points, and one more for the derivative."""
    return STEP * (math.ceil(reach / STEP) + 1)


def _basis(x: Floats, start: float, points: int) -> tuple[NDArray[np.intp], Floats]:
    """First of the four cubic B-splines that reach each x, and their values there."""
    place = (x - start) / STEP
    first = np.clip(np.floor(place).astype(np.intp), 0, points - 2)
    f = place - first
    values = ((1 - f) ** 3, 3 * f**3 - 6 * f**2 + 4, -3 * f**3 + 3 * f**2 + 3 * f + 1, f**3)
    return first, np.stack(values) / 6


def _valued(coefficients: Floats, first: NDArray[np.intp], weights: Floats) -> Floats:
    taken = coefficients[first + np.arange(_BANDS)[:, None]]
    return np.asarray((weights * taken).sum(0))


def _roughness(count: int) -> Floats:
    """Bands of the sum of squared third differences of `count` numbers."""
    bands = np.zeros((_BANDS, count))
    for i in range(_BANDS):
        for j in range(i, _BANDS):
            bands[j - i, i : count - 3 + i] += _THIRD_DIFFERENCE[i] * _THIRD_DIFFERENCE[j]
    return bands
