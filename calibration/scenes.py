"""Rendered subjects: sharp to the pixel, of every kind of content, as many as are asked for.

Photographs are few. Occluding leaves of random shape, bundles of strands, lettering, grained
ground, vessels with soft shadows, plain steps, dense textures and ground with next to nothing to
see, mixed with each other, are not, and their sharpness is known. Every picture is drawn `FINE`
times finer and averaged over pixels.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

from calibration import shapes, textures
from calibration.shapes import FINE, F, grey

_WORDS = (
    "glaze",
    "rim",
    "kiln",
    "bowl",
    "1280",
    "celadon",
    "No.",
    "7",
    "ash",
    "slip",
    "48",
    "clay",
)
Rng = np.random.Generator


def scene(side: int, rng: Rng) -> NDArray[np.float64]:
    """Light in [0, 1] of a random subject, shape (`side`, `side`)."""
    fine = side * FINE
    light = _ground(side, rng)
    for _ in range(int(rng.choice([0, 0, 0, 1, 2]))):
        other = _ground(side, rng)
        if rng.random() < 0.5:
            mask = Image.new("1", (fine, fine))
            outline = shapes.smooth_blob(rng, fine * rng.uniform(0.15, 0.5))
            outline += rng.uniform(0, fine, 2)
            ImageDraw.Draw(mask).polygon(shapes.points(outline), fill=1)
            light = np.where(np.asarray(mask), other, light)
        else:
            share = rng.uniform(0.1, 0.9)
            light = share * light + (1 - share) * other
    if rng.random() < 0.3:
        light = light * (0.3 + 0.7 * ndimage.zoom(shapes.shading(side, rng), FINE, order=1))
    if rng.random() < 0.4:
        grain = ndimage.zoom(shapes.fractal(side, rng, rng.uniform(0.3, 1.2)), FINE, order=1)
        light = light * (1 + rng.uniform(0.01, 0.12) * grain)
    clipped = np.clip(light, 0, 1).astype(np.float64)
    return np.asarray(clipped.reshape(side, FINE, side, FINE).mean((1, 3)))


def _ground(side: int, rng: Rng) -> F:
    kinds: list[Callable[[int, Rng], F]] = [
        *(3 * [_leaves]),
        *(2 * [_strands]),
        _lettering,
        _grained,
        *(2 * [_vessels]),
        *(2 * [_steps]),
        *textures.ANY,
        _plain,
    ]
    return kinds[int(rng.integers(len(kinds)))](side, rng)


def _canvas(fine: int, tone: float) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    image = Image.new("F", (fine, fine), tone)
    return image, ImageDraw.Draw(image)


def _leaves(side: int, rng: Rng) -> F:
    """Shapes that hide each other, their sizes spread by a power law."""
    fine = side * FINE
    image, draw = _canvas(fine, float(rng.random()))
    least, most = rng.choice([2, 4, 8, 16]) * FINE, fine * rng.uniform(0.15, 0.5)
    count, power = int(rng.choice([15, 60, 250, 800])), rng.uniform(1.5, 3)
    contrast, base = rng.uniform(0.15, 1), rng.uniform(0.1, 0.9)
    some = [shapes.ANY[int(k)] for k in rng.integers(len(shapes.ANY), size=int(rng.integers(1, 4)))]
    turn = None if rng.random() < 0.7 else rng.uniform(0, np.pi)
    low, high = least ** (1 - power), most ** (1 - power)
    for radius in (low + rng.random(count) * (high - low)) ** (1 / (1 - power)):
        kind = some[int(rng.integers(len(some)))]
        if kind is shapes.rectangle and turn is not None:
            outline = shapes.rectangle(rng, radius, turn + rng.choice([0, np.pi / 2]))
        else:
            outline = kind(rng, radius)
        tone = grey(base + 0.4 * contrast * rng.normal())
        draw.polygon(shapes.points(outline + rng.uniform(0, fine, 2)), fill=tone)
    return np.asarray(image, np.float32)


def _plain(side: int, rng: Rng) -> F:
    """Skin, a wall, a plain glaze: shading, and texture too faint to tell much, or none."""
    light = rng.uniform(0.1, 0.6) + rng.uniform(0, 0.3) * shapes.shading(side, rng)
    grain = shapes.fractal(side, rng, rng.uniform(0.3, 1.4))
    light = light * (1 + float(np.exp(rng.uniform(np.log(1e-4), np.log(0.05)))) * grain)
    return np.asarray(ndimage.zoom(light, FINE, order=1), np.float32)


def _strands(side: int, rng: Rng) -> F:
    """Hair, lashes, grass, fabric: bundles of bent lines."""
    fine = side * FINE
    ground = float(rng.uniform(0.05, 0.8))
    image, draw = _canvas(fine, ground)
    turn, spread = rng.uniform(0, np.pi), rng.choice([0.03, 0.15, 0.5, 3])
    wide, contrast = rng.choice([1, 2, 4, 8]), rng.uniform(0.1, 0.9)
    along = np.linspace(-0.5, 0.5, 12)
    for _ in range(int(rng.choice([20, 80, 300, 700]))):
        a, length = turn + spread * rng.normal(), fine * rng.uniform(0.1, 0.8)
        u, v = along * length, 0.4 * rng.normal() * length * along**2
        line = np.stack([u * np.cos(a) - v * np.sin(a), -u * np.sin(a) - v * np.cos(a)], 1)
        width = max(1, round(FINE * wide * 0.6 * float(np.exp(0.4 * rng.normal()))))
        tone = grey(ground + 0.6 * contrast * rng.normal())
        draw.line(shapes.points(line + rng.uniform(0, fine, 2)), fill=tone, width=width)
    return np.asarray(image, np.float32)


def _lettering(side: int, rng: Rng) -> F:
    fine = side * FINE
    ground = float(rng.choice([rng.uniform(0.6, 1), rng.uniform(0, 0.3)]))
    image, draw = _canvas(fine, ground)
    size = int(FINE * rng.choice([9, 14, 22, 40, 80]))
    font = ImageFont.load_default(size)
    ink = grey(rng.uniform(0, 0.3) if ground > 0.5 else rng.uniform(0.5, 1))
    y = 0.0
    while y < fine:
        x = -float(rng.uniform(0, 200))
        while x < fine:
            word = f"{rng.choice(_WORDS)} "
            draw.text((x, y), word, fill=ink, font=font)
            x += draw.textlength(word, font=font)
        y += size * rng.uniform(1.2, 2.5)
    turned = float(rng.choice([0, 0, rng.uniform(-180, 180)]))
    return np.asarray(
        image.rotate(turned, resample=Image.Resampling.BILINEAR, fillcolor=ground), np.float32
    )


def _grained(side: int, rng: Rng) -> F:
    slope, stretched = rng.uniform(0.6, 1.6), rng.choice([1, 1, 0.3, 0.1])
    grain = shapes.fractal(2 * side, rng, slope, float(stretched), rng.uniform(0, np.pi))
    fine = ndimage.zoom(grain[:side, :side], FINE, order=1)
    return np.asarray(np.clip(0.5 + rng.uniform(0.05, 0.3) * fine, 0, 1), np.float32)


def _vessels(side: int, rng: Rng) -> F:
    """Smooth bodies with rims, speckles and soft shadows on smooth ground."""
    fine = side * FINE
    light = ndimage.zoom(shapes.shading(side, rng), FINE, order=1)
    light = light * rng.uniform(0.1, 0.7) + rng.uniform(0.05, 0.25)
    y, x = np.mgrid[0:fine, 0:fine] / fine
    for _ in range(int(rng.integers(1, 4))):
        (left, top), wide, turn = rng.random(2), rng.uniform(0.1, 0.6), rng.uniform(0, np.pi)
        high = wide * rng.uniform(0.2, 1)
        u = (x - left) * np.cos(turn) + (y - top) * np.sin(turn)
        v = (y - top) * np.cos(turn) - (x - left) * np.sin(turn)
        radius = np.hypot(u / wide, v / high)
        beside = np.hypot((u - 0.1) / wide, (v - 0.1) / high)
        away = np.minimum((beside - 1.1) * rng.uniform(5, 25), 50)
        light = light * (1 - rng.uniform(0, 0.6) / (1 + np.exp(away)))
        bulge = np.sqrt(1 - np.minimum(radius, 1) ** 2) * rng.uniform(0.3, 1)
        lit = 0.4 + 0.6 * np.clip(bulge + 0.5 * u * rng.normal(), 0, 1)
        light = np.where(radius < 1, rng.uniform(0.1, 0.9) * lit, light)
        if rng.random() < 0.6:
            rim = (radius > 1 - rng.uniform(0.01, 0.08)) & (radius < 1)
            light = np.where(rim, np.clip(light * rng.uniform(0.4, 1.8), 0, 1), light)
        if rng.random() < 0.5:
            light = _speckled(light.astype(np.float32), rng)
    return np.asarray(light, np.float32)


def _speckled(light: F, rng: Rng) -> F:
    image = Image.fromarray(light)
    draw = ImageDraw.Draw(image)
    for _ in range(int(rng.choice([20, 100, 400]))):
        x, y = rng.uniform(0, len(light), 2)
        radius = FINE * float(np.exp(0.5 * rng.normal())) * rng.choice([0.5, 1, 2])
        tone = grey(light[int(y), int(x)] * rng.uniform(0.5, 1.5))
        draw.ellipse([x - radius, y - radius, x + radius, y + radius], fill=tone)
    return np.asarray(image)


def _steps(side: int, rng: Rng) -> F:
    fine = side * FINE
    y, x = np.mgrid[0:fine, 0:fine] - fine / 2
    out = np.full((fine, fine), rng.random(), np.float32)
    for _ in range(int(rng.integers(1, 4))):
        a = rng.uniform(0, 2 * math.pi)
        beyond = x * math.cos(a) + y * math.sin(a) > rng.uniform(-0.3, 0.3) * fine
        out = np.where(beyond, np.float32(rng.random()), out)
    return out
