"""Edge width as a function of direction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.widths import Widths

Doubles = NDArray[np.float64]

BELOW = 0.2
"""Weight of edges wider than the fit, against 1 - this of narrower ones."""

_BINS = 12
_OUTLIER = 0.3  # of the logarithm of a width
_ROUNDS = 5
_SHRINK = 0.01
_BLOCKS = 5  # on a side


@dataclass(frozen=True, slots=True)
class WidthFit:
    """w²(t) = a + b cos 2t + c sin 2t, with t the direction of an edge's normal.

    `terms` are a, b, c in px², `covariance` their statistical covariance, `spread` the root mean
    square of what remains of ln w, outliers held, and `lopsided` how far the edges are from
    running in all directions alike: 0 evenly, 1 all in one.
    """

    terms: Doubles
    covariance: Doubles
    spread: float
    lopsided: float


def fit_width(widths: Widths) -> WidthFit:
    """Fit edge width over direction by a low expectile of ln w.

    Lens and focus set a floor that no edge goes below, and subjects have soft edges of their
    own: so narrower edges weigh four times as much as wider ones (asymmetric least squares,
    Newey & Powell, Econometrica 55(4), 1987), outliers count by their first power (Huber), high
    steps more than low ones, and every direction alike however many edges it has.

    The covariance is that of an infinitesimal jackknife over blocks of the area, since edge
    points along one contour are one observation rather than many.

    Parameters
    ----------
    widths
        At least 3 edges.
    """
    turn = 2 * widths.normal.astype(np.float64)
    axes = np.stack([np.ones_like(turn), np.cos(turn), np.sin(turn)], 1)
    weight = _evened(widths.height.astype(np.float64), turn)
    lopsided = float(np.hypot(*(weight @ axes[:, 1:])) / weight.sum())
    log_w = np.log(widths.px.astype(np.float64))
    # Two opposite directions alone cannot tell a mean from a swing.
    ridge = np.array([0, 1, 1]) * (_SHRINK if lopsided < LOPSIDED else 1e6)
    terms = np.array([np.exp(2 * np.partition(log_w, len(log_w) // 3)[len(log_w) // 3]), 0.0, 0.0])
    for _ in range(_ROUNDS):
        slope, pull, rest = _linearised(axes, terms, log_w, weight)
        stiff = (slope * pull[:, None]).T @ slope
        stiff += np.diag(ridge * stiff[0, 0] + 1e-12)
        push = (slope * (pull * rest)[:, None]).T.sum(1) - ridge * stiff[0, 0] * terms
        terms = _possible(terms + np.linalg.solve(stiff, push))
    slope, pull, rest = _linearised(axes, terms, log_w, weight)
    scores = slope * (pull * rest)[:, None]
    block = _blocks(widths)
    sums = np.stack([np.bincount(block, scores[:, i], _BLOCKS**2) for i in range(3)], 1)
    inverse = np.linalg.inv(stiff)
    covariance = inverse @ (sums.T @ sums) @ inverse
    held = np.minimum(np.abs(rest), 2 * _OUTLIER)
    spread = float(np.sqrt((weight * held**2).sum() / weight.sum()))
    return WidthFit(terms, covariance, spread, lopsided)


LOPSIDED = 0.75
"""Past this the edges run in too few directions for a swing of the width to be seen."""


def _evened(height: Doubles, turn: Doubles) -> Doubles:
    sector = (np.floor(turn / (2 * np.pi) * _BINS)).astype(np.intp) % _BINS
    total = np.bincount(sector, height, _BINS)
    return np.asarray(height / np.maximum(total[sector], 0.03 * total.max()))


def _linearised(
    axes: Doubles, terms: Doubles, log_w: Doubles, weight: Doubles
) -> tuple[Doubles, Doubles, Doubles]:
    square = axes @ terms
    rest = log_w - 0.5 * np.log(square)
    pull = weight * np.where(rest > 0, BELOW, 1 - BELOW)
    pull *= np.minimum(1, _OUTLIER / np.maximum(np.abs(rest), 1e-9))
    return axes / (2 * square[:, None]), pull, rest


def _possible(terms: Doubles) -> Doubles:
    mean = max(terms[0], 0.2)
    swing = float(np.hypot(terms[1], terms[2]))
    held = min(1.0, 0.95 * mean / swing) if swing > 0 else 1.0
    return np.array([mean, held * terms[1], held * terms[2]])


def _blocks(widths: Widths) -> NDArray[np.intp]:
    columns, rows = (
        np.minimum((q - q.min()) * _BLOCKS // max(float(np.ptp(q)), 1.0), _BLOCKS - 1)
        for q in (widths.x, widths.y)
    )
    return np.asarray(rows * _BLOCKS + columns, np.intp)
