"""Materials: fields of unit variance and the surfaces that are made of them."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from PIL import Image
from scipy import ndimage

from mocks.light import Field, as_field, paint

Shape = tuple[int, int]

_BRICK = (62, 176)


def resize(field: Field, shape: Shape) -> Field:
    """Return a field, shape (h, w) or (h, w, n), drawn at another size by bicubic interpolation."""
    if field.ndim == 3:
        return np.dstack([resize(field[..., c], shape) for c in range(field.shape[2])])
    size = (shape[1], shape[0])
    picture = Image.fromarray(np.ascontiguousarray(field, np.float32))
    return np.asarray(picture.resize(size, Image.Resampling.BICUBIC), np.float32)


def clouds(shape: Shape, scale: tuple[float, float], seed: int) -> Field:
    """Return smooth noise whose patches are `scale` (down, across) px large."""
    rng = np.random.default_rng(seed)
    coarse = (int(shape[0] / scale[0]) + 4, int(shape[1] / scale[1]) + 4)
    return _unit(resize(rng.standard_normal(coarse, np.float32), shape))


def grain(shape: Shape, sigma: float | tuple[float, float], seed: int) -> Field:
    """Return white noise blurred by a Gaussian of `sigma` px."""
    noise = np.random.default_rng(seed).standard_normal(shape, np.float32)
    return _unit(ndimage.gaussian_filter(noise, sigma, mode="wrap"))


def weave(shape: Shape, pitch: float, seed: int) -> Field:
    """Return the threads of a cloth, `pitch` px apart, of uneven thickness."""
    down, across = np.indices(shape, np.float32)
    drift = 0.6 * clouds(shape, (40, 40), seed)
    warp = np.cos(2 * np.pi * across / pitch + drift) + grain(shape, (14, 0.9), seed + 1)
    weft = np.cos(2 * np.pi * down / pitch + drift) + grain(shape, (0.9, 14), seed + 2)
    return _unit(warp + weft)


@lru_cache(maxsize=2)
def bricks(shape: Shape) -> Field:
    """Return a whitewashed wall, linear light, shape (height, width, 3)."""
    down, across = np.indices(shape, np.float32)
    down += 1.6 * clouds(shape, (30, 120), 1)
    across += 1.6 * clouds(shape, (90, 40), 2)
    course = np.floor(down / _BRICK[0])
    along = across / _BRICK[1] + 0.5 * (course % 2)
    y = down - _BRICK[0] * (course + 0.5)
    x = (along - np.floor(along) - 0.5) * _BRICK[1]
    inset = np.minimum(_BRICK[0] / 2 - np.abs(y), _BRICK[1] / 2 - np.abs(x))
    body = 1 / (1 + np.exp(-(inset - 4.5 - 0.8 * clouds(shape, (9, 9), 3)) / 0.8))
    each = np.random.default_rng(4).standard_normal((200, 200), np.float32)
    tint = 0.05 * each[course.astype(int) % 200, np.floor(along).astype(int) % 200]
    # The light comes from above on the left: lower and right borders lie in shade.
    shade = 0.10 - np.float32(0.26) * (y + 0.2 * x > 0)
    bevel = body * np.exp(-(((inset - 6) / 3.5) ** 2)) * shade
    rough = 0.045 * grain(shape, 0.75, 5) + 0.05 * grain(shape, 2.5, 6)
    stain = 0.06 * clouds(shape, (220, 260), 7) + 0.03 * clouds(shape, (50, 60), 8)
    tone = 0.80 + body * (0.20 + tint) + bevel + rough + stain
    return as_field(np.clip(tone, 0.1, None)[..., None] * paint("c9bfae"))


@lru_cache(maxsize=4)
def wood(shape: Shape, seed: int) -> Field:
    """Return an oiled table, linear light, shape (height, width, 3), its far edge at the top."""
    height, width = shape
    shrink = np.linspace(0.35, 1.0, height)[:, None].astype(np.float32)
    rows = np.cumsum(1 / shrink[:, 0])
    streak = clouds((int(rows[-1]) + 2, width), (7, 500), seed)[rows.astype(int)]
    fine = clouds((int(rows[-1]) + 2, width), (1.6, 90), seed + 1)[rows.astype(int)]
    pores = grain(shape, (0.6, 5.0), seed + 2)
    tone = 0.10 * streak + 0.07 * fine - 0.10 * np.clip(pores - 1.6, 0, None)
    broad = 0.06 * clouds(shape, (200, 500), seed + 3)
    return as_field(np.clip(1 + tone + broad, 0.2, None)[..., None] * paint("8a6547"))


def glow(shape: Shape, x: float, y: float, radius: float) -> Field:
    """Return a soft round light, 1 at its middle, as a factor, shape (height, width, 1)."""
    down = np.exp(-((np.arange(shape[0]) - y) ** 2) / (2 * radius**2))
    across = np.exp(-((np.arange(shape[1]) - x) ** 2) / (2 * radius**2))
    return as_field(np.outer(down, across))[..., None]


def _unit(field: Field) -> Field:
    return as_field((field - field.mean()) / field.std())
