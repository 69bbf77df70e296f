"""Hand-thrown vessels: surfaces of revolution with a glaze, lit by one large soft light."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.interpolate import PchipInterpolator

from mocks import blur
from mocks.light import Field, as_field, paint
from mocks.scenes.surface import clouds, grain, resize

_FINER = 2
_COARSER = 4
_TILT = 0.2
_LENS = 0.72
_LIGHT = np.array([-0.62, 0.48, 0.62], np.float32)


Column = NDArray[np.float64]
Mask = NDArray[np.bool_]
Profile = tuple[tuple[float, float], ...]
"""Pairs of height below the rim and radius, px, from the rim to the foot."""


@dataclass(frozen=True, slots=True)
class Glaze:
    """The surface of a vessel; colours as six hexadecimal digits.

    `dip` is the share of the height that a `second` coat covers from the rim down, and `rust` its
    colour where it is thin; `specks` are
    the iron spots of a thousand square px; `mottle` and `rings` are how uneven colour and wall
    are; `gloss` is the strength of the softbox's reflection.
    """

    coat: str
    second: str = "000000"
    rust: str = "8a4a22"
    dip: float = 0.0
    specks: float = 0.0
    speck: str = "2a1a10"
    mottle: float = 0.0
    rings: float = 0.0
    gloss: float = 0.0


@lru_cache(maxsize=32)
def vessel(profile: Profile, glaze: Glaze, seed: int) -> tuple[Field, Field, tuple[float, float]]:
    """Render one vessel, in focus.

    Parameters
    ----------
    profile
        Its shape.
    glaze
        Its surface.
    seed
        Of the hand that made it.

    Returns
    -------
    light, cover
        Premultiplied linear light, shape (h, w, 3), and coverage, shape (h, w).
    middle
        Column and row of the rim's middle in these arrays.
    """
    heights, radii = np.array(profile, np.float64).T * _FINER
    tall = int(heights[-1])
    t = np.arange(tall + 1, dtype=np.float64)
    r = ndimage.gaussian_filter1d(PchipInterpolator(heights, radii)(t), 7 * _FINER, mode="nearest")
    margin = 8 * _FINER
    cx = int(r.max()) + margin
    top = int(_TILT * r[0]) + margin
    shape = (2 * ((top + tall + int(_TILT * r[-1]) + margin) // 2), 2 * cx)
    where = _unroll(t, r, cx, top, shape)
    outside, wall = _wall(t, r, where, cx, glaze, seed)
    upper = slice(0, 2 * top)
    rim, mouth = _mouth(float(r[0]), cx, top, (2 * top, shape[1]), glaze, seed)
    outside[upper] = np.where(mouth[..., None], rim, outside[upper])
    wall[upper] |= mouth
    stack = np.dstack([outside * wall[..., None], wall]).astype(np.float32)
    small = blur.apply(_halve(stack), blur.gaussian(_LENS))
    small.flags.writeable = False
    return small[..., :3], small[..., 3], (cx / _FINER, top / _FINER)


def _unroll(
    t: Column,
    r: Column,
    cx: int,
    top: int,
    shape: tuple[int, int],
) -> Field:
    """Return the height below the rim that each pixel of the front shows, or NaN."""
    out = np.full(shape, np.nan, np.float32)
    rows = np.arange(shape[0], dtype=np.float64)
    for column in range(shape[1]):
        u = column + 0.5 - cx
        seen = r > abs(u)
        if not seen.any():
            continue
        v = top + t[seen] + _TILT * np.sqrt(r[seen] ** 2 - u * u)
        v[0] -= _FINER  # no gap between wall and rim
        out[:, column] = np.interp(
            rows, np.maximum.accumulate(v), t[seen], left=np.nan, right=np.nan
        )
    return out


def _wall(
    t: Column,
    r: Column,
    where: Field,
    cx: int,
    glaze: Glaze,
    seed: int,
) -> tuple[Field, Mask]:
    """Return light (h, w, 3) and where it is, (h, w), of the outer wall."""
    cover = np.isfinite(where)
    at = np.nan_to_num(where)
    row = np.clip(at.astype(int), 0, len(t) - 1)
    u = np.arange(where.shape[1], dtype=np.float32) + 0.5 - cx
    nx = np.clip(u / r[row], -0.999, 0.999).astype(np.float32)
    cover &= np.abs(u) < r[row]
    nz = np.sqrt(1 - nx**2)
    along = np.arcsin(nx) * r[row]
    slope = np.gradient(r)
    wobble = np.interp(t, t[:: 16 * _FINER], _jitter(len(t[:: 16 * _FINER]), seed))
    ridge = np.sin(2 * np.pi * t / (21.0 * _FINER) + 1.5 * wobble)
    slope = slope + glaze.rings * (ridge + 0.25 * np.sin(2 * np.pi * t / (9.3 * _FINER)))
    normal = np.stack([nx, slope[row].astype(np.float32), nz], -1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    colour = _colour(at, along.astype(np.float32), float(t[-1]), glaze, seed)
    return _lit(colour, normal, glaze.gloss), cover


def _jitter(n: int, seed: int) -> Column:
    return np.cumsum(np.random.default_rng(seed).standard_normal(n)) * 0.3


def _colour(at: Field, along: Field, tall: float, glaze: Glaze, seed: int) -> Field:
    """Return the glaze's colour where the wall is seen, shape (h, w, 3)."""
    if not (glaze.mottle or glaze.dip or glaze.specks):
        return np.broadcast_to(paint(glaze.coat), (*at.shape, 3))
    span = int(np.abs(along).max()) + 2
    sheet = (int(tall) + 1, 2 * span)
    row, column = at.astype(int), (along + span).astype(int)
    tone = 1 + glaze.mottle * (
        0.5 * clouds(sheet, (60, 40), seed)
        + 0.45 * grain(sheet, (3.0, 1.6), seed + 1)
        + 0.55 * grain(sheet, 1.1, seed + 2)
    )
    paper = np.clip(tone, 0.1, None)[..., None] * paint(glaze.coat)
    if glaze.dip > 0:
        edge = tall * glaze.dip + 16 * clouds((1, 2 * span), (1, 90), seed + 3)
        edge = edge + 5 * clouds((1, 2 * span), (1, 26), seed + 4)
        depth = edge - np.arange(sheet[0], dtype=np.float32)[:, None]
        # Where it runs thin, at the rim and in streaks, the second coat breaks to rust.
        streak = clouds(sheet, (300, 34), seed + 6) + 0.7 * clouds(sheet, (160, 9), seed + 8)
        thin = np.exp(-np.arange(sheet[0], dtype=np.float32)[:, None] / (0.06 * tall))
        rust = np.clip(0.14 * streak - 0.04 + 0.7 * thin + 0.12 * (tone - 1), 0, 1)[..., None]
        second = tone[..., None] * (paint(glaze.second) * (1 - rust) + paint(glaze.rust) * rust)
        paper = np.where(depth[..., None] > 0, second, paper)
        # Where the two coats meet the glaze breaks to a thin, light line.
        paper = paper + (0.22 * np.exp(-(((depth - 4) / 4.5) ** 2)))[..., None] * paint("e8d6b0")
    if glaze.specks > 0:
        spots = _specks(sheet, glaze.specks, seed + 5)[..., None]
        paper = paper * (1 - 0.85 * spots) + 0.85 * spots * paint(glaze.speck)
    return as_field(paper[row, column])


def _specks(shape: tuple[int, int], density: float, seed: int) -> Field:
    """Return the cover of iron spots, `density` to a thousand square px of the picture."""
    rng = np.random.default_rng(seed)
    field = np.zeros((shape[0] + 32, shape[1] + 32), np.float32)
    count = int(density * shape[0] * shape[1] / (1000 * _FINER**2))
    for _ in range(count):
        radius = min(_FINER * float(rng.lognormal(0.1, 0.5)), 8.0)
        squeeze, y, x = rng.uniform(0.7, 1.3), *rng.integers(0, shape)
        down, across = np.ogrid[-9:10, -9:10]
        spot = np.clip(radius + 0.5 - np.hypot(down * squeeze, across / squeeze), 0, 1)
        place = field[y + 7 : y + 26, x + 7 : x + 26]
        np.maximum(place, spot, out=place)
    return field[16:-16, 16:-16]


def _mouth(
    radius: float, cx: int, top: int, shape: tuple[int, int], glaze: Glaze, seed: int
) -> tuple[Field, Mask]:
    """Return light (h, w, 3) and where it is, (h, w), of the rim and the inside seen through it."""
    down, across = np.indices(shape, np.float32)
    x, y = (across + 0.5 - cx) / radius, (down + 0.5 - top) / (radius * _TILT)
    away = np.hypot(x, y)
    lip = 1 - max(0.035, 5.0 * _FINER / radius)
    deep = np.hypot(x, (down - top - 3 * _FINER) / (radius * _TILT)) / lip
    inside = np.stack([-x * 0.8, np.full_like(x, 0.35), 0.5 - 0.4 * y], -1)
    inside /= np.linalg.norm(inside, axis=-1, keepdims=True)
    tone = 1 + glaze.mottle * 0.8 * grain(shape, (1.2, 2.4), seed + 7)
    colour = np.clip(tone, 0.1, None)[..., None] * paint(glaze.second if glaze.dip else glaze.coat)
    bowl = _lit(colour, inside, 0.0) * (0.55 + 0.5 * np.clip(-y, 0, 1) + 0.3 * x)[..., None]
    facing = np.stack([x * 0.5, np.full_like(x, 0.9), 0.35 + 0.2 * y], -1)
    facing /= np.linalg.norm(facing, axis=-1, keepdims=True)
    edge = _lit(colour * 1.15 + 0.06 * paint("e8d6b0"), facing, 0.0)
    light = np.where((deep < 1)[..., None], bowl, edge)
    return as_field(light), away < 1


def _lit(colour: Field, normal: Field, gloss: float) -> Field:
    """Return the light of a surface under the softbox, with its reflection."""
    diffuse = np.clip(normal @ (_LIGHT / np.linalg.norm(_LIGHT)), 0, None)
    bounce = np.clip(-normal[..., 1], 0, None)  # off the table
    fill = 0.22 + 0.10 * np.clip(normal[..., 0], 0, None) + 0.32 * bounce
    light: NDArray[Any] = colour * (0.95 * diffuse + fill)[..., None]
    if gloss > 0:
        x, y = normal[..., 0], normal[..., 1]
        box = _bar(x, -0.68, -0.42, 0.07) * _bar(y, -0.8, 0.5, 0.4)
        edge = 0.3 * _bar(x, 0.83, 0.93, 0.03) * _bar(y, -0.7, 0.3, 0.3)
        light = light + gloss * (box + edge)[..., None]
    return as_field(light)


def _bar(value: Field, low: float, high: float, soft: float) -> Field:
    rise, fall = (value - low) / soft, (high - value) / soft
    return as_field(np.clip(rise, 0, 1) * np.clip(fall, 0, 1))


def _halve(image: Field) -> Field:
    four = image[::2, ::2] + image[1::2, ::2] + image[::2, 1::2] + image[1::2, 1::2]
    return as_field(four / 4)


def shadow(shape: tuple[int, int], x: float, y: float, wide: float, tall: float) -> Field:
    """Return the factor, shape (h, w, 1), by which a vessel darkens the table around its foot."""
    coarse = (shape[0] // _COARSER, shape[1] // _COARSER)
    down, across = np.indices(coarse, np.float32) * _COARSER + _COARSER / 2
    near = np.exp(-((((across - x) / wide) ** 2 + ((down - y) / tall) ** 2) ** 1.2))
    cast = np.exp(
        -(((across - x - 0.8 * wide) / (1.7 * wide)) ** 2 + ((down - y) / (1.3 * tall)) ** 2)
    )
    dark = ndimage.gaussian_filter(1 - (1 - 0.7 * near) * (1 - 0.4 * cast), 6 / _COARSER)
    return resize(as_field(1 - dark), shape)[..., None]
