"""Edge width as a function of direction."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.spectra import DIRECTIONS, turns

Doubles = NDArray[np.float64]

_MOST = 0.97  # of the mean square: no width vanishes in any direction
_NARROW = math.radians(20)


@dataclass(frozen=True, slots=True)
class Swing:
    """w²(t) = a + b cos 2t + c sin 2t, as every blur's variance turns with direction.

    `wide` and `narrow` are ln of the greatest and the least width, px; `angle` is the direction
    of the greatest, rad, in [0, pi), `errors` the errors of ln width there and across; `misfit`
    is the root mean square of what remains of ln w.
    """

    wide: float
    narrow: float
    angle: float
    errors: tuple[float, float]
    misfit: float


def swing(log_width: Doubles, error: Doubles) -> Swing:
    """Fit width over direction by least squares, each direction weighted by its error.

    Parameters
    ----------
    log_width
        ln of the edge width in px in every direction, shape (`DIRECTIONS`,).
    error
        Standard deviation of each.
    """
    t = turns()
    axes = np.stack([np.ones(DIRECTIONS), np.cos(2 * t), np.sin(2 * t)], 1)
    square = np.exp(2 * log_width)
    weight = 1 / (square * error)
    terms = np.linalg.lstsq(axes * weight[:, None], square * weight, rcond=None)[0]
    mean = max(float(terms[0]), 0.1)
    turned = min(float(np.hypot(terms[1], terms[2])), _MOST * mean)
    angle = math.atan2(float(terms[2]), float(terms[1])) / 2 % math.pi
    fitted = mean + turned * np.cos(2 * (t - angle))
    rest = log_width - 0.5 * np.log(fitted)
    return Swing(
        wide=0.5 * math.log(mean + turned),
        narrow=0.5 * math.log(mean - turned),
        angle=angle,
        errors=(_near(error, angle), _near(error, angle + math.pi / 2)),
        misfit=float(np.sqrt((rest**2).mean())),
    )


def nearest(angle: float) -> int:
    """Number of the direction nearest to an angle, rad."""
    return round(angle / math.pi * DIRECTIONS) % DIRECTIONS


def _near(error: Doubles, angle: float) -> float:
    away = (turns() - angle + np.pi / 2) % np.pi - np.pi / 2
    weight = np.exp(-((away / _NARROW) ** 2))
    return float((weight * error).sum() / weight.sum())
