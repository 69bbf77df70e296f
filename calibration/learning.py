"""Training of a small network by gradient descent, with numpy alone."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.network import LEAK

F32 = NDArray[np.float32]
Layers = list[tuple[F32, F32]]
Loss = Callable[[F32, F32, F32], F32]
"""Gradient by a network's answers, from answers, truths and weights."""

_BATCH = 256
_RATE = 2e-3
_DECAY = 1e-4  # of the weights, against fitting single pictures
_FIRST, _SECOND = 0.9, 0.999  # of the running moments


def trained(
    inputs: F32,
    truths: F32,
    weights: F32,
    hidden: tuple[int, ...],
    outputs: int,
    loss: Loss,
    passes: int,
    rng: np.random.Generator,
) -> Layers:
    """Fit a network by Adam (Kingma & Ba, 2015) with a rate that falls along a cosine.

    Parameters
    ----------
    inputs, truths, weights
        Rows; shapes (rows, inputs), (rows, truths), (rows,).
    hidden
        Widths of the layers between.
    passes
        Times that every row is seen.

    Returns
    -------
    list of (weights, offsets)
        Shapes (inputs, outputs) and (outputs,) of each layer.
    """
    sizes = (inputs.shape[1], *hidden, outputs)
    layers: Layers = []
    for a, b in pairwise(sizes):
        start = rng.standard_normal((a, b)) * np.sqrt(2 / a)
        layers.append((start.astype(np.float32), np.zeros(b, np.float32)))
    layers[-1][0][:] *= np.float32(0.1)
    flat = [p for layer in layers for p in layer]
    moments = [(np.zeros_like(p), np.zeros_like(p)) for p in flat]
    steps, step = passes * (len(inputs) // _BATCH), 0
    for _ in range(passes):
        order = rng.permutation(len(inputs))
        for start_at in range(0, len(inputs) - _BATCH + 1, _BATCH):
            some = order[start_at : start_at + _BATCH]
            values = forward(layers, inputs[some])
            push = loss(values[-1], truths[some], weights[some])
            slopes = _backward(layers, values, push)
            step += 1
            rate = _RATE * 0.5 * (1 + np.cos(np.pi * step / steps))
            for p, slope, (first, second) in zip(flat, slopes, moments, strict=True):
                first[...] = _FIRST * first + (1 - _FIRST) * slope
                second[...] = _SECOND * second + (1 - _SECOND) * slope**2
                mean, square = first / (1 - _FIRST**step), second / (1 - _SECOND**step)
                p[...] -= rate * (mean / (np.sqrt(square) + 1e-8) + _DECAY * p)
    return layers


def forward(layers: Layers, inputs: F32) -> list[F32]:
    """Values after every layer, the inputs first."""
    values = [inputs]
    for number, (weights, offsets) in enumerate(layers):
        out = values[-1] @ weights + offsets
        values.append(np.maximum(out, LEAK * out) if number < len(layers) - 1 else out)
    return values


def _backward(layers: Layers, values: list[F32], push: F32) -> list[F32]:
    slopes: list[F32] = []
    for number in range(len(layers) - 1, -1, -1):
        slopes += [push.sum(0), values[number].T @ push]
        if number:
            push = (push @ layers[number][0].T) * np.where(values[number] > 0, 1, LEAK)
            push = push.astype(np.float32)
    return slopes[::-1]


def likelihood(answers: F32, truths: F32, low: float, high: float, tail: float) -> F32:
    """Gradient of a Gaussian's -ln likelihood, in mean and ln deviation, linear past `tail` deviations.

    `answers` are pairs of mean and ln standard deviation, kept within `low` and `high`; shape
    (rows, 2). `truths` has shape (rows,).
    """
    spread = np.exp(np.clip(answers[:, 1], low, high))
    z = (answers[:, 0] - truths) / spread
    near = np.abs(z) < tail
    mean = np.where(near, z, tail * np.sign(z)) / spread
    deviation = 1 - np.where(near, z**2, tail * np.abs(z))
    return np.stack([mean, deviation], 1).astype(np.float32)
