"""Outlines, shading and grain that rendered subjects are made of."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

F = NDArray[np.float32]
Outline = NDArray[np.float64]
Rng = np.random.Generator

FINE = 4
"""Drawn samples a pixel along each side."""


def grey(value: float) -> int:
    """A grey in [0, 1]; Pillow takes a float for pictures of floats, its types do not say so."""
    return float(np.clip(value, 0, 1))  # type: ignore[return-value]


def points(outline: Outline) -> list[tuple[float, float]]:
    """An outline as Pillow takes it."""
    return [(float(x), float(y)) for x, y in outline]


def blob(rng: Rng, radius: float) -> Outline:
    """A polygon of 3 to 8 corners about the origin; shape (corners, 2)."""
    corners = int(rng.integers(3, 9))
    turn = np.sort(rng.uniform(0, 2 * np.pi, corners))
    reach = radius * rng.uniform(0.6, 1.2, corners)
    return np.stack([reach * np.cos(turn), reach * np.sin(turn)], 1)


def smooth_blob(rng: Rng, radius: float) -> Outline:
    """A rounded shape about the origin."""
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    reach = np.ones(60)
    for wave in range(1, 5):
        reach += rng.normal() * 0.25 / wave * np.cos(wave * turn + rng.uniform(0, 2 * np.pi))
    reach = radius * np.maximum(reach, 0.15)
    return np.stack([reach * np.cos(turn), reach * np.sin(turn)], 1)


def ellipse(rng: Rng, radius: float) -> Outline:
    """An ellipse about the origin, turned anyhow."""
    turn = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    a, flat = rng.uniform(0, np.pi), rng.uniform(0.3, 1)
    x, y = radius * np.cos(turn), flat * radius * np.sin(turn)
    return np.stack([x * np.cos(a) - y * np.sin(a), x * np.sin(a) + y * np.cos(a)], 1)


def rectangle(rng: Rng, radius: float, turn: float | None = None) -> Outline:
    """A rectangle about the origin, turned as told or anyhow."""
    high, a = radius * rng.uniform(0.05, 1), rng.uniform(0, np.pi) if turn is None else turn
    corners = np.array([[-radius, -high], [radius, -high], [radius, high], [-radius, high]])
    return np.asarray(corners @ np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]]))


ANY = (blob, smooth_blob, ellipse, rectangle)


def shading(side: int, rng: Rng) -> NDArray[np.float64]:
    """Smooth light from 0 to 1 over a square."""
    y, x = np.mgrid[0:side, 0:side] / side
    out = rng.normal() * x + rng.normal() * y
    for _ in range(3):
        left, top, wide = rng.random(), rng.random(), rng.uniform(0.1, 0.5)
        out = out + rng.normal() * np.exp(-((x - left) ** 2 + (y - top) ** 2) / (2 * wide**2))
    return np.asarray((out - out.min()) / (np.ptp(out) + 1e-9))


def fractal(
    side: int, rng: Rng, slope: float, stretched: float = 1.0, turn: float = 0.0
) -> NDArray[np.float64]:
    """Grain whose amplitude falls with frequency to the power `slope`; standard deviation 1."""
    f = np.fft.fftfreq(side)
    y, x = np.meshgrid(f, f, indexing="ij")
    along = x * math.cos(turn) + y * math.sin(turn)
    beside = stretched * (y * math.cos(turn) - x * math.sin(turn))
    away = np.hypot(along, beside)
    away[0, 0] = np.inf
    grain = np.fft.ifft2(np.fft.fft2(rng.standard_normal((side, side))) * away**-slope).real
    return np.asarray(grain / grain.std())
