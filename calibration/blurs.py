"""Known blurs, and the edge width that each makes in every direction: the truth of a trial."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy import special
from scipy.signal import fftconvolve

from tether.sharpness.spectra import turns

F = NDArray[np.float64]
_FINE = 16  # samples a px of an edge
_TAIL = 14  # px


def gauss(sigma: float) -> F:
    """A Gaussian integrated over pixels; sum 1."""
    side = math.ceil(4 * sigma) * 2 + 1
    profile = np.diff(special.ndtr((np.arange(side + 1) - side / 2) / sigma))
    profile /= profile.sum()
    return np.outer(profile, profile)


def disk(diameter: float) -> F:
    """A defocus disk integrated over pixels; sum 1."""
    side = math.ceil(diameter) // 2 * 2 + 3
    fine = 8
    x = (np.arange(side * fine) - (side * fine - 1) / 2) / fine
    inside = (x[:, None] ** 2 + x[None, :] ** 2 <= diameter**2 / 4).astype(float)
    k = inside.reshape(side, fine, side, fine).mean((1, 3))
    return np.asarray(k / k.sum())


def path(length: float, angle_deg: float, bend: float) -> F:
    """A movement of `length` px, bent by the share `bend` of it; sum 1."""
    side = math.ceil(length) // 2 * 2 + 5
    t = np.linspace(-0.5, 0.5, 32 * math.ceil(length) + 1)
    u, v = t * length, bend * length * (t**2 - 1 / 12)
    a = math.radians(angle_deg)
    x = side // 2 + u * math.cos(a) - v * math.sin(a)
    y = side // 2 - u * math.sin(a) - v * math.cos(a)
    k = np.zeros((side, side))
    column, row = np.floor(x).astype(int), np.floor(y).astype(int)
    for right, share in ((0, 1 - (x - column)), (1, x - column)):
        for down, other in ((0, 1 - (y - row)), (1, y - row)):
            np.add.at(k, (row + down, column + right), share * other)
    return np.asarray(k / k.sum())


def join(a: F, b: F) -> F:
    """One blur after the other."""
    return np.asarray(np.maximum(fftconvolve(a, b), 0))


def blurred(light: F, kernel: F) -> F:
    """Light after a blur; beyond its borders it is mirrored."""
    reach = len(kernel) // 2
    return np.asarray(fftconvolve(np.pad(light, reach, mode="reflect"), kernel, mode="valid"))


def edge_widths(kernel: F, native: float, sharpened: tuple[float, float] | None) -> F:
    """10–90 % rise, px, of an ideal step in each of the directions that are measured.

    The step falls on square pixels that a Gaussian of standard deviation `native` px has
    smoothed, is blurred by the kernel, then sharpened by an unsharp mask of the given amount and
    standard deviation, as a camera does it.

    Returns
    -------
    ndarray
        Shape (`tether.sharpness.spectra.DIRECTIONS`,).
    """
    reach = len(kernel) / 2 + _TAIL
    at = np.arange(-reach, reach, 1 / _FINE)
    row, column = np.indices(kernel.shape) - len(kernel) // 2
    kept = kernel.ravel() > kernel.max() * 1e-4
    weight = kernel.ravel()[kept]
    out = []
    for a in turns():
        place = (column * math.cos(a) - row * math.sin(a)).ravel()[kept]
        position = (place - at[0]) * _FINE
        first = np.floor(position).astype(int)
        share = position - first
        line: F = np.bincount(first, weight * (1 - share), len(at)).astype(np.float64)
        line = line + np.bincount(first + 1, weight * share, len(at))
        for side in (abs(math.cos(a)), abs(math.sin(a))):
            box = np.ones(max(round(side * _FINE), 1))
            line = np.convolve(line, box / box.sum(), "same")
        if native > 0:
            line = np.convolve(line, _bell(native), "same")
        step = np.cumsum(line) / line.sum()
        if sharpened is not None:
            amount, sigma = sharpened
            bell = _bell(sigma)
            smooth = np.convolve(np.pad(step, len(bell) // 2, mode="edge"), bell, "valid")
            step = step + amount * (step - smooth[: len(step)])
        out.append(_rise(step, at))
    return np.array(out)


def _bell(sigma: float) -> F:
    x = np.arange(-math.ceil(6 * sigma * _FINE), math.ceil(6 * sigma * _FINE) + 1) / _FINE
    bell = np.exp(-(x**2) / (2 * sigma**2))
    return np.asarray(bell / bell.sum())


def _rise(step: F, at: F) -> float:
    """From the last 10 % before the middle to the first 90 % after it."""
    middle = int(np.argmin(np.abs(step - 0.5)))
    high = middle + int(np.argmax(step[middle:] >= 0.9))
    low = middle - int(np.argmax(step[: middle + 1][::-1] <= 0.1))
    upper = np.interp(0.9, step[high - 1 : high + 1], at[high - 1 : high + 1])
    lower = np.interp(0.1, step[low : low + 2], at[low : low + 2])
    return float(upper - lower)
