"""What a camera does to light on its way into a file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import simplejpeg
from numpy.typing import NDArray
from scipy import ndimage

F = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Recording:
    """Settings of one recording.

    `gain` is exposure, `veil` the share of light that flare spreads evenly, `noise` the standard
    deviation at full scale as a fraction of it, `grain` the standard deviation, px, of the
    smoothing that noise has been through, `bend` the strength of an S-shaped tone curve over
    sRGB, `sharpened` amount and standard deviation, px, of an unsharp mask, `quality` the
    JPEG's.
    """

    gain: float
    veil: float
    noise: float
    grain: float
    bend: float
    sharpened: tuple[float, float] | None
    quality: int


def any_recording(rng: np.random.Generator) -> Recording:
    """Draw settings over the range that is met with: three stops under, flare, ISO, sharpening."""
    return Recording(
        gain=float(np.exp(rng.uniform(np.log(0.12), 0))),
        veil=float(rng.choice([0, rng.uniform(0, 0.3)])),
        noise=float(np.exp(rng.uniform(np.log(0.0015), np.log(0.03)))),
        grain=float(rng.choice([0, 0.5, 0.8])),
        bend=float(rng.uniform(0.2, 0.9)) if rng.random() < 0.35 else 0.0,
        sharpened=_sharpening(rng) if rng.random() < 0.3 else None,
        quality=int(rng.integers(82, 99)),
    )


def _sharpening(rng: np.random.Generator) -> tuple[float, float]:
    return float(rng.uniform(0.2, 1.2)), float(rng.uniform(0.5, 1.4))


def record(light: F, how: Recording, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Record light in [0, 1]: flare, shot and read noise, sRGB and tone curve, sharpening, JPEG."""
    p = light * how.gain * (1 - how.veil) + how.veil * how.gain * 0.5
    noise = rng.standard_normal(p.shape)
    if how.grain:
        noise = ndimage.gaussian_filter(noise, how.grain)
    p = p + noise * how.noise * np.sqrt(np.clip(p, 0, 1) + 0.003)
    v = np.clip(p, 0, 1)
    c = np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055)
    c = c + how.bend * (3 * c**2 - 2 * c**3 - c)
    if how.sharpened is not None:
        amount, sigma = how.sharpened
        c = c + amount * (c - ndimage.gaussian_filter(c, sigma, truncate=6))
    eight = np.rint(np.clip(c, 0, 1) * 255).astype(np.uint8)
    data = simplejpeg.encode_jpeg(np.ascontiguousarray(eight[..., None]), how.quality, "GRAY")
    return np.ascontiguousarray(simplejpeg.decode_jpeg(data, "GRAY")[..., 0])
