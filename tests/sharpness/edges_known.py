"""Slanted edges whose response is known in closed form, as pixels see them.

A straight edge blurred by any kernel depends on the distance from it alone. A pixel's value is that
curve's mean over the pixel's square, which is the mean over two intervals as long as the square's
sides look along the edge's normal. Nothing here is shared with what is tested.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import special
from scipy.interpolate import CubicSpline

F = NDArray[np.float64]

_FAR = 80.0  # px from the edge: as far as it is rendered
_STEP = 1 / 32
_SAMPLES = 64


@dataclass(frozen=True)
class Blur:
    """A blur by kind and size.

    Gaussian: standard deviation; disk: diameter; movement: its length along the edge's normal;
    diffraction: λN over the pixel pitch. All in px.
    """

    kind: str
    size: float

    def response(self, frequency: F) -> F:
        """Closed form, without the pixel."""
        v = self.size * frequency
        if self.kind == "Gaussian":
            return np.asarray(np.exp(-2 * np.pi**2 * v**2))
        if self.kind == "disk":
            z = np.pi * np.maximum(v, 1e-9)
            return np.asarray(np.abs(2 * special.j1(z) / z))
        if self.kind == "movement":
            return np.asarray(np.abs(np.sinc(v)))
        # Boreman, SPIE TT52, section 1.5.1.
        u = np.minimum(v, 1)
        return np.asarray(2 / np.pi * (np.arccos(u) - u * np.sqrt(1 - u**2)))

    def step(self, distance: F) -> F:
        """Light across an edge from 0 to 1, without the pixel."""
        t = distance / self.size
        if self.kind == "Gaussian":
            return np.asarray(special.ndtr(t))
        if self.kind == "disk":
            s = np.clip(2 * t, -1, 1)
            return np.asarray(0.5 + (s * np.sqrt(1 - s**2) + np.arcsin(s)) / np.pi)
        if self.kind == "movement":
            return np.clip(t + 0.5, 0, 1)
        return _diffracted(t)


def _diffracted(t: F) -> F:
    """Step by the Fourier integral of diffraction's response; `t` in units of λN."""
    u = (np.arange(4000) + 0.5) / 4000
    weight = Blur("diffraction", 1.0).response(u) / (np.pi * u) / len(u)
    coarse = np.linspace(0, 100, 5001)
    half = np.array([(weight * np.sin(2 * np.pi * u * x)).sum() for x in coarse])
    return np.asarray(0.5 + np.sign(t) * CubicSpline(coarse, half)(np.minimum(np.abs(t), 100)))


def known_response(blur: Blur, tilt: float, frequency: F) -> F:
    """Response along the normal of an edge tilted by `tilt` degrees from a pixel's side."""
    c, s = np.cos(np.deg2rad(tilt)), np.sin(np.deg2rad(tilt))
    pixel = np.sinc(c * frequency) * np.sinc(s * frequency)
    return np.asarray(blur.response(frequency) * np.abs(pixel))


@lru_cache
def known_mtf50(blur: Blur, tilt: float = 0.0) -> float:
    """Lowest frequency, cycles/px, at which that response is a half."""
    frequency = np.linspace(0, 1, 100001)
    values = known_response(blur, tilt, frequency)
    i = int(np.argmax(values < 0.5))
    part = (values[i - 1] - 0.5) / (values[i - 1] - values[i])
    return float(frequency[i - 1] + part * frequency[1])


@lru_cache
def seen(blur: Blur, tilt: float) -> CubicSpline:
    """Light of a pixel by its distance from the edge, px, as far as 80 px."""
    across = np.abs(np.cos(np.deg2rad(tilt)))
    aside = np.abs(np.sin(np.deg2rad(tilt)))
    parts = (np.arange(_SAMPLES) + 0.5) / _SAMPLES - 0.5
    far = np.arange(-_FAR - 1, _FAR + 1 + _STEP / 2, _STEP)
    # Diffraction's integral is slow; its step is smooth.
    step = CubicSpline(far, blur.step(far)) if blur.kind == "diffraction" else blur.step
    inner = CubicSpline(far, np.mean([step(far + aside * p) for p in parts], axis=0))
    near = far[np.abs(far) <= _FAR]
    return CubicSpline(near, np.mean([inner(near + across * p) for p in parts], axis=0))


def known_rise(blur: Blur, tilt: float) -> float:
    """10–90 % rise of the edge as pixels see it, px."""
    x = np.linspace(-25, 25, 50001)
    low, high = np.interp([0.1, 0.9], seen(blur, tilt)(x), x)
    return float(high - low)


def edge(
    blur: Blur,
    tilt: float = 5.0,
    shape: tuple[int, int] = (100, 100),
    levels: tuple[float, float] = (0.2, 0.8),
    middle: float = 0.3,
    bow: float = 0.0,
) -> F:
    """Render an edge nearer to upright than to level.

    Parameters
    ----------
    blur
        Its blur.
    tilt
        Degrees clockwise from upright.
    shape
        Rows and columns.
    levels
        Light to its left and to its right.
    middle
        Column, from the area's middle, at which the edge crosses the middle row.
    bow
        How far, px, it lies to the left of a straight line a hundred rows from the middle.
    """
    row, column = np.indices(shape).astype(float)
    row -= (shape[0] - 1) / 2
    column -= (shape[1] - 1) / 2 + middle
    angle = np.deg2rad(tilt)
    distance = column * np.cos(angle) + row * np.sin(angle) + bow * (row / 100) ** 2
    share = seen(blur, tilt)(np.clip(distance, -_FAR, _FAR))
    return np.asarray(levels[0] + (levels[1] - levels[0]) * share)
