"""Known blurs: kernels integrated over the pixels they fall on, and their application.

A kernel's odd side has the unblurred point at its middle. Convolve in linear light.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.special import ndtr

from mocks.light import Field, as_field

_FINE = 64
_FEW_TAPS = 40
_ROWS = 32


@lru_cache(maxsize=64)
def disk(diameter: float) -> Field:
    """Return the kernel of a defocus whose blur disk is `diameter` px wide.

    Its 10–90 % edge rise is 0.687049 `diameter`.
    """
    radius = diameter / 2
    reach = max(0, int(np.ceil(radius - 0.5)))
    if diameter < 1 / _FINE:
        return np.ones((1, 1), np.float32)
    # Chords of the circle on fine lines, cut at the pixels' borders.
    lines = -reach - 0.5 + (np.arange((2 * reach + 1) * _FINE) + 0.5) / _FINE
    half = np.sqrt(np.clip(radius**2 - lines**2, 0, None))[:, None]
    left = (np.arange(-reach, reach + 1) - 0.5)[None, :]
    inside = np.clip(np.minimum(half, left + 1) - np.maximum(-half, left), 0, None)
    return _unit(inside.reshape(2 * reach + 1, _FINE, -1).sum(axis=1))


@lru_cache(maxsize=64)
def shake(length: float, angle_deg: float) -> Field:
    """Return the kernel of a straight, even movement.

    Parameters
    ----------
    length
        Its length in px. The 10–90 % rise of an edge square to it is 0.8 `length`.
    angle_deg
        Degrees counter-clockwise from the image's +x.
    """
    angle = np.deg2rad(angle_deg)
    reach = max(0, int(np.ceil(length / 2 - 0.5)))
    side = 2 * reach + 1
    points = max(1, round(_FINE * 8 * length))
    along = ((np.arange(points) + 0.5) / points - 0.5) * length
    column = np.floor(along * np.cos(angle) + 0.5).astype(int) + reach
    row = np.floor(-along * np.sin(angle) + 0.5).astype(int) + reach
    return _unit(np.bincount(row * side + column, minlength=side**2).reshape(side, side))


@lru_cache(maxsize=64)
def gaussian(sigma: float) -> Field:
    """Return a Gaussian kernel; `sigma` in px, its 10–90 % edge rise 2.563103 `sigma`."""
    if sigma <= 0:
        return np.ones((1, 1), np.float32)
    reach = int(np.ceil(4 * sigma))
    profile = np.diff(ndtr((np.arange(-reach, reach + 2) - 0.5) / sigma))
    return _unit(np.outer(profile, profile))


def apply(image: Field, kernel: Field) -> Field:
    """Convolve an image with a kernel; what lies beyond the borders repeats the border.

    Parameters
    ----------
    image
        Linear light, shape (height, width) or (height, width, channels).
    kernel
        Shape (odd, odd).
    """
    if kernel.size == 1:
        return image
    planes = image if image.ndim == 3 else image[..., None]
    height, width, channels = planes.shape
    down, right = kernel.shape[0] // 2, kernel.shape[1] // 2
    padded = np.pad(planes, ((down, down), (right, right), (0, 0)), mode="edge")
    out = np.zeros((height, width, channels), np.float32)
    flipped = kernel[::-1, ::-1]
    taps = np.argwhere(flipped)
    if len(taps) <= _FEW_TAPS:
        # A few rows at a time stay in the processor's cache.
        for top in range(0, height, _ROWS):
            rows = out[top : top + _ROWS]
            part = np.empty_like(rows)
            for y, x in taps + np.array([top, 0]):
                shifted = padded[y : y + len(rows), x : x + width]
                rows += np.multiply(shifted, flipped[y - top, x], out=part)
    else:
        shape = tuple(fft.next_fast_len(n, real=True) for n in padded.shape[:2])
        spectrum = fft.rfft2(kernel, shape)
        for c in range(channels):
            full = fft.irfft2(fft.rfft2(padded[..., c], shape) * spectrum, shape)
            out[..., c] = full[2 * down : 2 * down + height, 2 * right : 2 * right + width]
    return out.reshape(image.shape)


def _unit(kernel: NDArray[Any]) -> Field:
    whole = kernel.astype(np.float64)
    return as_field(whole / whole.sum())
