"""Fits both stages of `tether.sharpness.network` to trials, and their 95 % points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calibration.learning import F32, Layers, Loss, likelihood, trained
from calibration.trials import Trial
from tether.sharpness.direction import swing
from tether.sharpness.interval import LEAST_ERROR, MOST_ERROR, first_stage, seen
from tether.sharpness.network import Calibration, Stage, by_direction, standardised

F = NDArray[np.float64]

FOLDS = 4
"""Parts that the subjects are divided into; each network is trained without one of them."""

_PASSES = (20, 40)
_HIDDEN = ((256, 96), (96, 48))
_TAIL = (2.0, 4.0)  # deviations past which one answer pulls no harder
_PHOTOGRAPH = 2.0  # weight of a photograph's trial against that of a rendered subject
_MOVED = 0.25  # ln of widest over narrowest from which a movement counts as one
_CHANCE = 2.0  # weight of the movement among the second stage's answers


@dataclass(frozen=True, slots=True)
class Fitted:
    """The calibration, and what each trial reads when its subject was left out.

    `read` has shape (trials, 2): ln of widest and narrowest; `error` likewise; `moved` (trials,).
    """

    calibration: Calibration
    read: F
    error: F
    moved: F


def fitted(trials: list[Trial], seed: int) -> Fitted:
    """Train, each subject being left out once, and set the points from what was left out."""
    fold = _folds([t.subject for t in trials], np.random.default_rng(seed))
    weight = np.array([_PHOTOGRAPH if t.photograph else 1.0 for t in trials], np.float32)
    truth = np.log(np.array([t.widths for t in trials])).astype(np.float32)
    inputs = np.stack([by_direction(t.shown) for t in trials])
    widths, left_out = _cross_fitted(inputs, truth[:, :, None], weight, fold, _width_loss, 0, seed)
    told = [first_stage(answers[None]) for answers in left_out]
    swings = [swing(*one) for one in told]
    second = np.stack(
        [seen(t.shown, s, e) for t, s, (_, e) in zip(trials, swings, told, strict=True)]
    )
    read = np.array([[s.wide, s.narrow] for s in swings])
    off = np.stack([truth.max(1), truth.min(1)], 1) - read
    moved, counts = _moved(trials, truth)
    aims = np.concatenate([off, moved[:, None], counts[:, None]], 1).astype(np.float32)
    errors, answers = _cross_fitted(
        second[:, None], aims[:, None], weight, fold, _error_loss, 1, seed
    )
    answer = answers[:, 0].astype(np.float64)
    centre, error = (
        read + answer[:, (0, 2)],
        np.exp(answer[:, (1, 3)].clip(LEAST_ERROR, MOST_ERROR)),
    )
    surest = np.array([int(np.argmin(e)) for _, e in told])
    every = np.arange(len(trials))
    alone = [
        (truth[i, k] - told[i][0][k]) / told[i][1][k] for i, k in zip(every, surest, strict=True)
    ]
    standard = np.column_stack([(off + read - centre) / error, alone])
    points = _points(standard, weight.astype(np.float64))
    chance = 1 / (1 + np.exp(-answer[:, 4]))
    return Fitted(Calibration(widths, errors, points), centre, error, chance)


def _folds(subjects: list[str], rng: np.random.Generator) -> NDArray[np.intp]:
    names = sorted(set(subjects))
    of = dict(zip(names, rng.permutation(len(names)) % FOLDS, strict=True))
    return np.array([of[s] for s in subjects])


def _moved(trials: list[Trial], truth: F32) -> tuple[F, F]:
    """Whether each trial moved, and whether it counts: slight movements are neither."""
    apart = truth.max(1) - truth.min(1)
    by_movement = np.array([t.kind in {"shake", "motion"} for t in trials])
    moved = by_movement & (apart > _MOVED)
    return moved.astype(np.float64), (moved | ~by_movement).astype(np.float64)


def _cross_fitted(
    inputs: F32, truths: F32, weight: F32, fold: NDArray[np.intp], loss: Loss, stage: int, seed: int
) -> tuple[Stage, F32]:
    """One network a fold, and the answers to what each was trained without.

    Inputs and truths have shape (trials, rows, …).
    """
    flat = inputs.reshape(-1, inputs.shape[2])
    centre, scale = flat.mean(0), flat.std(0) + np.float32(1e-3)
    standard = standardised(inputs, centre, scale)
    outputs = 2 if stage == 0 else 5
    nets: list[Layers] = []
    answers = np.zeros((*inputs.shape[:2], outputs), np.float32)
    for part in range(FOLDS):
        used = fold != part
        net = trained(
            standard[used].reshape(-1, inputs.shape[2]),
            truths[used].reshape(-1, truths.shape[2]),
            weight[used].repeat(inputs.shape[1]),
            _HIDDEN[stage],
            outputs,
            loss,
            _PASSES[stage],
            np.random.default_rng([seed, stage, part]),
        )
        # As they are stored.
        net = [(w.astype(np.float16).astype(np.float32), b) for w, b in net]
        nets.append(net)
        one = Stage(centre, scale, tuple((w[None], b[None, None]) for w, b in net))
        left = inputs[~used]
        answers[~used] = one(left.reshape(-1, inputs.shape[2]))[0].reshape(*left.shape[:2], outputs)
    layers = tuple(
        (np.stack([net[n][0] for net in nets]), np.stack([net[n][1][None] for net in nets]))
        for n in range(len(nets[0]))
    )
    return Stage(centre, scale, layers), answers


def _width_loss(answers: F32, truths: F32, weights: F32) -> F32:
    slope = likelihood(answers, truths[:, 0], LEAST_ERROR, MOST_ERROR, _TAIL[0])
    return np.asarray(slope * (weights[:, None] / len(answers)), np.float32)


def _error_loss(answers: F32, truths: F32, weights: F32) -> F32:
    wide = likelihood(answers[:, 0:2], truths[:, 0], LEAST_ERROR, MOST_ERROR, _TAIL[1])
    narrow = likelihood(answers[:, 2:4], truths[:, 1], LEAST_ERROR, MOST_ERROR, _TAIL[1])
    chance = 1 / (1 + np.exp(-answers[:, 4].clip(-30, 30)))
    moved = _CHANCE * truths[:, 3] * (chance - truths[:, 2])
    slope = np.concatenate([wide, narrow, moved[:, None]], 1)
    return (slope * (weights[:, None] / len(answers))).astype(np.float32)


def _points(standard: F, weight: F) -> F:
    """2.5 % and 97.5 % points of the standardised errors of what was left out."""
    out = []
    for column in standard.T:
        order = np.argsort(column)
        share = (np.cumsum(weight[order]) - weight[order] / 2) / weight.sum()
        out.append(np.interp((0.025, 0.975), share, column[order]))
    return np.array(out)
