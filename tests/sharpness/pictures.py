"""Pictures whose blur is known: rendered edges, and photographs blurred on purpose."""

from __future__ import annotations

import math

import numpy as np
import simplejpeg
from numpy.typing import NDArray
from scipy import ndimage, special

FINE = 8
"""Samples a pixel in kernels and rendered edges."""

F = NDArray[np.float64]
U8 = NDArray[np.uint8]


def coded(light: NDArray[np.floating]) -> U8:
    """Code light in [0, 1] through the sRGB curve (IEC 61966-2-1) into 8 bit."""
    v = np.clip(light, 0, 1)
    s = np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(s * 255), np.uint8)


def light(pixels: U8) -> F:
    """Undo `coded`."""
    v = np.arange(256) / 255
    table = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    return np.asarray(table[pixels])


def disk(diameter: float) -> F:
    """Render a defocus disk, its rim smoothed by the pixel it falls into. Sum 1."""
    n = math.ceil(diameter) // 2 * 2 + 3
    x = (np.arange(n * FINE) - (n * FINE - 1) / 2) / FINE
    inside = (x[:, None] ** 2 + x[None, :] ** 2 <= diameter**2 / 4).astype(float)
    k = inside.reshape(n, FINE, n, FINE).mean((1, 3))
    return np.asarray(k / k.sum())


def gauss(sigma: float) -> F:
    """Render a Gaussian, integrated over pixels so that its variance is sigma² + 1/12. Sum 1."""
    n = math.ceil(sigma * 4) * 2 + 1
    e = np.arange(n + 1) - n / 2
    k = np.diff(special.ndtr(e / sigma))
    k /= k.sum()
    return np.outer(k, k)


def path(length: float, angle_deg: float, bend: float = 0.0) -> F:
    """Render a movement of `length` px along an angle (counter-clockwise, y up). Sum 1."""
    n = math.ceil(length) // 2 * 2 + 5
    t = np.linspace(-0.5, 0.5, 4 * FINE * math.ceil(length) + 1)
    u, v = t * length, bend * length * (t**2 - 1 / 12)
    a = math.radians(angle_deg)
    x = n // 2 + u * math.cos(a) - v * math.sin(a)
    y = n // 2 - u * math.sin(a) - v * math.cos(a)
    k = np.zeros((n, n))
    xi, yi = np.floor(x).astype(int), np.floor(y).astype(int)
    fx, fy = x - xi, y - yi
    for dx, wx in ((0, 1 - fx), (1, fx)):
        for dy, wy in ((0, 1 - fy), (1, fy)):
            np.add.at(k, (yi + dy, xi + dx), wx * wy)
    return np.asarray(k / k.sum())


def join(a: F, b: F) -> F:
    """Blur one kernel by another."""
    from scipy.signal import fftconvolve

    return np.asarray(np.maximum(fftconvolve(a, b), 0))


def rise(
    kernel: F,
    angle_deg: float,
    native: float = 0.0,
    sharpened: tuple[float, float] | None = None,
) -> float:
    """10–90 % rise distance, px, of an ideal step normal to an angle, imaged by a kernel.

    `native` is the standard deviation of the Gaussian that stands for pixel and lens, px, and
    `sharpened` an unsharp mask as of `expose`.
    """
    row, column = np.indices(kernel.shape) - len(kernel) // 2
    a = math.radians(angle_deg)
    d = (column * math.cos(a) - row * math.sin(a)).ravel()
    g = np.linspace(-len(kernel) - 6, len(kernel) + 6, 1200)
    weight = kernel.ravel()
    keep = weight > weight.max() * 1e-4
    s = max(native, 0.29)
    step = special.ndtr((g[:, None] - d[keep][None, :]) / s) @ weight[keep] / weight[keep].sum()
    if sharpened:
        sigma = sharpened[1] / (g[1] - g[0])
        step = step + sharpened[0] * (step - ndimage.gaussian_filter1d(step, sigma))
        # It swings beyond 0 and 1: the last 10 % before the middle, the first 90 % after it.
        middle = int(np.argmin(np.abs(step - 0.5)))
        high = middle + int(np.argmax(step[middle:] >= 0.9))
        low = middle - int(np.argmax(step[: middle + 1][::-1] <= 0.1))
        return float(g[high] - g[low])
    return float(np.interp(0.9, step, g) - np.interp(0.1, step, g))


def blur(picture: F, kernel: F) -> F:
    """Blur light by a kernel."""
    from scipy.signal import fftconvolve

    r = len(kernel) // 2
    return np.asarray(fftconvolve(np.pad(picture, r, mode="reflect"), kernel, mode="valid"))


def expose(
    picture: F,
    rng: np.random.Generator,
    *,
    gain: float = 1.0,
    veil: float = 0.0,
    noise: float = 0.0,
    grain: bool = False,
    bend: float = 0.0,
    sharpened: tuple[float, float] | None = None,
    quality: int | None = 95,
) -> U8:
    """Photograph light: exposure, veiling flare, shot and read noise, sRGB code, JPEG.

    `noise` is the standard deviation at full scale as a fraction of it; shot noise falls with
    the root of the light. With `grain` the noise is smoothed as by a Bayer reconstruction.
    `bend` is the swing of a camera's tone curve over sRGB, steeper in the middle; `sharpened` the
    amount and the standard deviation, px, of its unsharp mask.
    """
    p = picture * gain * (1 - veil) + veil * gain * 0.5
    if noise:
        n = rng.standard_normal(p.shape)
        if grain:
            n = ndimage.gaussian_filter(n, 0.6)
        p = p + n * noise * np.sqrt(np.clip(p, 0, 1) + 0.003)
    out = coded(p)
    if bend or sharpened:
        v = out / 255
        v = v - bend * np.sin(2 * np.pi * v) / (2 * np.pi)
        if sharpened:
            v = v + sharpened[0] * (v - ndimage.gaussian_filter(v, sharpened[1]))
        out = np.asarray(np.rint(np.clip(v, 0, 1) * 255), np.uint8)
    if quality is not None:
        data = simplejpeg.encode_jpeg(np.ascontiguousarray(out[..., None]), quality, "GRAY")
        out = simplejpeg.decode_jpeg(data, "GRAY")[..., 0]
    return np.ascontiguousarray(out)


def reduced(grey: F, times: int) -> F:
    """Average light over blocks, so that what was sharp becomes sharper than any lens."""
    h, w = (n // times * times for n in grey.shape)
    return np.asarray(grey[:h, :w].reshape(h // times, times, w // times, times).mean((1, 3)))


def edge(
    angle_deg: float, kernel_rise: F | None, *, size: int = 128, low: float = 0.2, high: float = 0.8
) -> F:
    """Light of a straight edge whose normal has an angle, integrated over pixels.

    `kernel_rise` is the edge spread function to apply along the normal, sampled `FINE` a pixel,
    or None for an ideal step.
    """
    n = size * FINE
    x = (np.arange(n) - (n - 1) / 2) / FINE
    a = math.radians(angle_deg)
    d = x[None, :] * math.cos(a) - x[:, None] * math.sin(a)
    if kernel_rise is None:
        s = (d > 0).astype(float)
    else:
        at = (np.arange(len(kernel_rise)) - (len(kernel_rise) - 1) / 2) / FINE
        s = np.interp(d, at, kernel_rise)
    return np.asarray(low + (high - low) * s.reshape(size, FINE, size, FINE).mean((1, 3)))
