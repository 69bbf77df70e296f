"""Fits what `tether.sharpness.interval` states: bias and error as multiples of the spread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from sklearn.model_selection import GroupKFold

from calibration.trials import SIDE, Trial
from tether.model import Rect
from tether.sharpness import interval
from tether.sharpness.direction import fit_width
from tether.sharpness.measure import FEWEST, edges_of
from tether.sharpness.tone import ToneCurve

F = NDArray[np.float64]

_MOVED = 0.5  # weight: what cannot be seen along a movement must not blur the rest
_FOLDS = 8
_TO_DEVIATION = 1.25  # of a Gaussian: standard deviation over mean absolute error


@dataclass(frozen=True, slots=True)
class Sample:
    """One measured trial: terms of the bias and of the error, per direction, and the truth.

    Arrays are (widest, narrowest) along their first axis; `off` is ln(true / read).
    """

    bias: F
    error: F
    spread: float
    chance: F
    off: F
    weight: float
    photograph: int


def sample(trial: Trial, side: int) -> Sample | None:
    """Measure the middle `side` px of a trial; None where there is too little to measure."""
    corner = (SIDE - side) // 2
    found, _ = edges_of(trial.pixels, Rect(corner, corner, side, side), ToneCurve.SRGB)
    if len(found.px) < FEWEST:
        return None
    fit, edges = fit_width(found), len(found.px)
    read = interval.read(fit)
    terms = [interval.terms(fit, edges, px, read.apart) for px in (read.wide, read.narrow)]
    truth = np.array([trial.widest, trial.narrowest])
    return Sample(
        bias=np.array([bias for bias, _ in terms]),
        error=np.array([error for _, error in terms]),
        spread=float(fit.spread),
        chance=np.array(read.errors),
        off=np.log(truth / np.array([read.wide, read.narrow])),
        weight=_MOVED if trial.moved else 1.0,
        photograph=trial.photograph,
    )


@dataclass(frozen=True, slots=True)
class Fitted:
    """Coefficients for one direction, and the share of left-out photographs they cover."""

    bias: F
    error: F
    below: float
    above: float
    coverage: float


def fitted(samples: list[Sample], which: int) -> Fitted:
    """Least squares for the bias, then for the size of what is left; points by cross-validation.

    `which` is 0 for the widest and 1 for the narrowest direction.
    """
    bias = np.array([s.bias[which] for s in samples])
    error = np.array([s.error[which] for s in samples])
    spread = np.array([s.spread for s in samples])
    chance = np.array([s.chance[which] for s in samples])
    off = np.array([s.off[which] for s in samples])
    weight = np.array([s.weight for s in samples])
    group = np.array([s.photograph for s in samples])

    def coefficients(i: NDArray[np.intp]) -> tuple[F, F]:
        b = _ridge(bias[i] * spread[i, None], off[i], weight[i])
        left = np.abs(off[i] - (bias[i] @ b) * spread[i]) * _TO_DEVIATION / spread[i]
        return b, _ridge(error[i], left, weight[i])

    def standardised(i: NDArray[np.intp], b: F, e: F) -> F:
        disagreement = spread[i] * np.maximum(error[i] @ e, interval.LEAST_DISAGREEMENT)
        total = np.sqrt(interval.FLOOR**2 + chance[i] ** 2 + disagreement**2)
        return np.asarray((off[i] - (bias[i] @ b) * spread[i]) / total)

    out = np.zeros(len(samples))
    for train, test in GroupKFold(_FOLDS).split(bias, off, group):
        out[test] = standardised(test, *coefficients(train))
    alike = 1 / np.bincount(group)[group]
    # All areas alike, and all photographs alike: whichever asks for more.
    below = min(_quantile(out, w, 0.025) for w in (weight, alike * weight))
    above = max(_quantile(out, w, 0.975) for w in (weight, alike * weight))
    b, e = coefficients(np.arange(len(samples)))
    covered = float(np.average((out >= below) & (out <= above), weights=weight))
    return Fitted(b, e, below, above, covered)


def _ridge(x: F, y: F, weight: F) -> F:
    xw = x * weight[:, None]
    return np.linalg.solve(xw.T @ x + 1e-4 * len(x) * np.eye(x.shape[1]), xw.T @ y)


def _quantile(values: F, weight: F, share: float) -> float:
    order = np.argsort(values)
    total = np.cumsum(weight[order]) / weight.sum()
    return float(values[order][np.searchsorted(total, share)])
