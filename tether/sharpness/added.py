"""The blur between two frames with how sure it is, from fits of several shapes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tether.sharpness.cells import Doubles
from tether.sharpness.response import Fit

# Found on 17 photographs blurred on purpose, of scikit-image, opencv-doc and palapeli-data, so that
# 95 of 100 intervals cover; tests.benchmarks.accuracy_reference prints how many do on others.
CHANCE = 1.0
"""Times the standard error that the likelihood states."""
TILES = 0.8
"""Times the standard error that the tiles' disagreement states."""
LEAST = 0.022
"""px² of variance: what registration and folded detail leave of two frames that are alike."""
SHARE = 0.065
"""Of a blur's variance: no three shapes are all blurs."""
POINTS = 2.2
"""Standard errors to either end of the 95 % interval."""

_FEW = 4  # tiles: fewer say little of how they disagree
_FEW_DOUBT = 2.0
_TEMPER = 8.0  # by which the likelihood of one shape against another is taken to be too sure
_CHANCE_SWING = 2.0  # variances of b and c that their squares' sum has by chance alone
_TOLD_SWING = 9.0  # the same, exceeded by chance in 1 of 100
_UNSEEN = 1.5  # standard errors of a swing that was taken for chance and may be none


@dataclass(frozen=True, slots=True)
class Added:
    """Blur between two frames along the direction of the greatest.

    `variance` is px², negative where the frame is the sharper, `low` and `high` its 95 %
    interval, `rise` the 10–90 % rise over the standard deviation of the blur's shape. `across` is
    the variance at right angles; `angle_deg` None where all directions are alike.
    """

    variance: float
    low: float
    high: float
    across: float
    rise: float
    angle_deg: float | None

    def px(self, variance: float) -> float:
        """10–90 % rise of the blur alone, px, for a variance, with its sign."""
        return math.copysign(self.rise * math.sqrt(abs(variance)), variance)


def added_blur(fits: Sequence[Fit], pushes: Sequence[Doubles]) -> Added:
    """Weigh the shapes by their likelihood, and take the direction in which the blur is greatest.

    Parameters
    ----------
    fits
        One of each shape.
    pushes
        What each tile adds to the slope of each fit's likelihood, shape (tiles, 4). Their
        scatter, over the bend of the likelihood, is the error that does not believe in the model
        (White, Econometrica 50(1), 1982).
    """
    likely = np.array([fit.likelihood for fit in fits])
    weight = np.exp((likely - likely.max()) / _TEMPER)
    weight /= weight.sum()
    terms = weight @ np.array([fit.terms for fit in fits])
    errors = [_covariance(fit, push) for fit, push in zip(fits, pushes, strict=True)]
    covariance = np.einsum("s,sij->ij", weight, np.array(errors))
    rise = float(weight @ np.array([fit.shape.rise for fit in fits]))
    mean, swing = float(terms[0]), float(np.hypot(terms[1], terms[2]))
    of_swing = float(covariance[1, 1] + covariance[2, 2]) / 2
    # Noise alone would swing too.
    sure = math.sqrt(max(swing**2 - _CHANCE_SWING * of_swing, 0.0))
    kept = sure / swing if swing > 0 else 0.0
    sign = 1.0 if mean >= 0 else -1.0
    size = abs(mean) + sure
    axis = sign * kept * terms[1:3] / swing if swing > 0 else np.zeros(2)
    slope = np.array([1.0, axis[0], axis[1], 0.0])
    chance = float(slope @ covariance @ slope) + (SHARE * size) ** 2
    unseen = (1 - kept) * math.sqrt(of_swing)
    # The greatest blur is no less than the mean over all directions, which is known better.
    inner = max(
        size - POINTS * math.sqrt(chance),
        abs(mean) - POINTS * math.sqrt(covariance[0, 0] + (SHARE * mean) ** 2),
    )
    outer = size + math.hypot(POINTS * math.sqrt(chance), _UNSEEN * unseen)
    ends = sorted((sign * inner, sign * outer))
    told = swing**2 > _TOLD_SWING * (of_swing + (SHARE * mean) ** 2)
    turn = math.degrees(math.atan2(sign * terms[2], sign * terms[1])) / 2 % 180
    return Added(sign * size, ends[0], ends[1], mean - sign * sure, rise, turn if told else None)


def _covariance(fit: Fit, push: Doubles) -> Doubles:
    """Covariance of the terms: what the likelihood says, what the tiles say, and the least."""
    stiff = fit.stiff + np.diag(1e-6 * np.diag(fit.stiff) + 1e-6)
    inverse = np.linalg.inv(stiff)
    tiles = len(push)
    scatter = push.T @ push / tiles**2
    few = _FEW_DOUBT**2 if tiles < _FEW else 1.0
    return np.asarray(
        few * CHANCE**2 * inverse
        + TILES**2 * inverse @ scatter @ inverse
        + LEAST**2 * np.diag([1, 0.5, 0.5, 0])
    )
