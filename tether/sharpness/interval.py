"""How sure an edge width is.

On an ideal edge every profile says the same width, and nothing is to be corrected. On a
photograph the profiles disagree (their `spread`), because subjects have lines, texture and soft
edges of their own; how far the fit then misleads was found by blurring photographs on purpose and
is stated here as multiples of the spread, so that it vanishes where the edges agree. The
multiples are least-squares fits to 2457 crops, 64 to 200 px a side, of 25 photographs that the
tests do not use, reduced until sharp, then blurred by lens, defocus disk or movement, darkened,
veiled, made noisy and saved as JPEG; the points of the error are those on photographs left out
of the fit, the wider of all crops alike and all photographs alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tether.model import EdgeWidth, Motion
from tether.sharpness.direction import LOPSIDED, WidthFit

_FLOOR = 0.04  # of a width: no one shape of blur fits Gaussian, disk and movement alike
_LEAST_DISAGREEMENT = 0.3
_WANTED = 100  # edges; fewer than this are a poorer sample of the area
_PLENTY = 400


@dataclass(frozen=True, slots=True)
class _Calibration:
    """Multiples of the spread.

    `bias` corrects ln w: a constant, per ln w, per ln of the widest over the narrowest, per
    lopsidedness, per ln of the number of edges over 100. `error` is its standard error: a
    constant, per lopsidedness, per ln of 100 over the number of edges, per ln of the widest over
    the narrowest. `below`, `above` are the 2.5 % and 97.5 % points of the standardised error.
    """

    bias: tuple[float, float, float, float, float]
    error: tuple[float, float, float, float]
    below: float
    above: float


_WIDEST = _Calibration(
    (1.187, -0.568, -0.120, 1.378, 0.419), (0.727, 0.908, 0.111, 0.151), -2.08, 2.40
)
_NARROWEST = _Calibration(
    (1.163, -0.543, 0.972, 0.828, 0.208), (0.637, 0.913, -0.114, 0.487), -2.14, 1.94
)

MOVED = 3.0
"""Times the spread by which ln of the widest over the narrowest must exceed 0 for a movement.

Of photographs that had not moved 4 % went past it.
"""


def judged(fit: WidthFit, edges: int) -> tuple[EdgeWidth, EdgeWidth, Motion | None]:
    """Widest and narrowest edge width with their 95 % intervals, and the movement if there is one.

    Parameters
    ----------
    fit
        Edge width over direction.
    edges
        Number of edges that were fitted.
    """
    mean, swing = float(fit.terms[0]), float(np.hypot(fit.terms[1], fit.terms[2]))
    wide, narrow = math.sqrt(mean + swing), math.sqrt(mean - swing)
    axis = fit.terms[1:] / swing if swing > 0 else np.zeros(2)
    apart = math.log(wide / narrow)
    errors = []
    for sign, px in ((1, wide), (-1, narrow)):
        slope = np.array([1.0, *(sign * axis)]) / (2 * px**2)
        errors.append(math.sqrt(max(float(slope @ fit.covariance @ slope), 0.0)))
    widest = _width(wide, errors[0], apart, fit, edges, _WIDEST)
    narrowest = _width(narrow, errors[1], apart, fit, edges, _NARROWEST)
    if narrowest.px > widest.px:
        both = _width(math.sqrt(mean), errors[0], 0.0, fit, edges, _WIDEST)
        widest = narrowest = both
    return widest, narrowest, _movement(fit, apart, errors, widest, narrowest)


def _width(
    px: float, error: float, apart: float, fit: WidthFit, edges: int, how: _Calibration
) -> EdgeWidth:
    scarce = math.log(min(edges, _PLENTY) / _WANTED)
    bias = np.dot(how.bias, [1, math.log(px), apart, fit.lopsided, scarce])
    disagreement = np.dot(how.error, [1, fit.lopsided, max(-scarce, 0), apart])
    total = math.hypot(_FLOOR, error, fit.spread * max(float(disagreement), _LEAST_DISAGREEMENT))
    centre = math.log(px) + fit.spread * float(bias)
    return EdgeWidth(
        math.exp(centre),
        math.exp(centre + how.below * total),
        math.exp(centre + how.above * total),
    )


def _movement(
    fit: WidthFit, apart: float, errors: list[float], widest: EdgeWidth, narrowest: EdgeWidth
) -> Motion | None:
    if fit.lopsided >= LOPSIDED or widest.px <= narrowest.px:
        return None
    chance = 1.96 * math.hypot(*errors, _FLOOR)
    if apart <= math.hypot(MOVED * fit.spread, chance):
        return None
    angle = math.degrees(math.atan2(fit.terms[2], fit.terms[1])) / 2 % 180
    return Motion(angle % 180, widest.px / narrowest.px)
