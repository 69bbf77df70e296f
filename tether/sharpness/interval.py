"""How sure an edge width is.

On an ideal edge every profile says the same width, and nothing is to be corrected. On a
photograph the profiles disagree (their `spread`), because subjects have lines, texture and soft
edges of their own; how far the fit then misleads was found by blurring photographs on purpose and
is stated as multiples of the spread, so that it vanishes where the edges agree. The multiples
stand in `calibrated.py`; `python -m calibration` in a checkout rebuilds them by least squares
on photographs that the tests do not use, reduced until sharp, then blurred by lens, defocus disk
or movement, darkened, veiled, made noisy and saved as JPEG. The points of the error are those on
photographs left out of the fit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tether.model import EdgeWidth, Motion
from tether.sharpness import calibrated
from tether.sharpness.direction import LOPSIDED, WidthFit

FLOOR = 0.04  # of a width: no one shape of blur fits Gaussian, disk and movement alike
LEAST_DISAGREEMENT = 0.3
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

    bias: tuple[float, ...]
    error: tuple[float, ...]
    below: float
    above: float


_WIDEST = _Calibration(*calibrated.WIDEST)
_NARROWEST = _Calibration(*calibrated.NARROWEST)

MOVED = 3.0
"""Times the spread by which ln of the widest over the narrowest must exceed 0 for a movement.

`tests.benchmarks.accuracy` prints how many that did not move go past it.
"""


@dataclass(frozen=True, slots=True)
class Read:
    """Edge width along the widest and the narrowest direction as fitted, px.

    `apart` is ln of the one over the other; `errors` the chance error of ln of each.
    """

    wide: float
    narrow: float
    apart: float
    errors: tuple[float, float]


def read(fit: WidthFit) -> Read:
    """Take widest and narrowest width, with their chance errors, from a fit over direction."""
    mean, swing = float(fit.terms[0]), float(np.hypot(fit.terms[1], fit.terms[2]))
    wide, narrow = math.sqrt(mean + swing), math.sqrt(mean - swing)
    axis = fit.terms[1:] / swing if swing > 0 else np.zeros(2)
    errors = []
    for sign, px in ((1, wide), (-1, narrow)):
        slope = np.array([1.0, *(sign * axis)]) / (2 * px**2)
        errors.append(math.sqrt(max(float(slope @ fit.covariance @ slope), 0.0)))
    return Read(wide, narrow, math.log(wide / narrow), (errors[0], errors[1]))


def terms(fit: WidthFit, edges: int, px: float, apart: float) -> tuple[list[float], list[float]]:
    """What bias and error are told from, in the order of `_Calibration`."""
    scarce = math.log(min(edges, _PLENTY) / _WANTED)
    lopsided = float(fit.lopsided)
    return [1, math.log(px), apart, lopsided, scarce], [1, lopsided, max(-scarce, 0), apart]


def judged(fit: WidthFit, edges: int) -> tuple[EdgeWidth, EdgeWidth, Motion | None]:
    """Widest and narrowest edge width with their 95 % intervals, and the movement if there is one.

    Parameters
    ----------
    fit
        Edge width over direction.
    edges
        Number of edges that were fitted.
    """
    seen = read(fit)
    widest = _width(seen.wide, seen.errors[0], seen.apart, fit, edges, _WIDEST)
    narrowest = _width(seen.narrow, seen.errors[1], seen.apart, fit, edges, _NARROWEST)
    if narrowest.px > widest.px:
        mean = math.sqrt(float(fit.terms[0]))
        widest = narrowest = _width(mean, seen.errors[0], 0.0, fit, edges, _WIDEST)
    return widest, narrowest, _movement(fit, seen, widest, narrowest)


def _width(
    px: float, error: float, apart: float, fit: WidthFit, edges: int, how: _Calibration
) -> EdgeWidth:
    of_bias, of_error = terms(fit, edges, px, apart)
    bias, disagreement = np.dot(how.bias, of_bias), np.dot(how.error, of_error)
    total = math.hypot(FLOOR, error, fit.spread * max(float(disagreement), LEAST_DISAGREEMENT))
    centre = math.log(px) + fit.spread * float(bias)
    return EdgeWidth(
        math.exp(centre),
        math.exp(centre + how.below * total),
        math.exp(centre + how.above * total),
    )


def _movement(fit: WidthFit, seen: Read, widest: EdgeWidth, narrowest: EdgeWidth) -> Motion | None:
    if fit.lopsided >= LOPSIDED or widest.px <= narrowest.px:
        return None
    chance = 1.96 * math.hypot(*seen.errors, FLOOR)
    if seen.apart <= math.hypot(MOVED * fit.spread, chance):
        return None
    angle = math.degrees(math.atan2(fit.terms[2], fit.terms[1])) / 2 % 180
    return Motion(angle, widest.px / narrowest.px)
