"""A portrait as large as cameras make them, with parts of the face blurred by known disks.

It is the public-domain portrait that scikit-image carries, enlarged; detail finer than it holds is
drawn in where it has contrast itself, so that the picture is sharp to the pixel.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage import data
from skimage.transform import resize

from mocks import blur
from mocks.light import Field, as_field, to_bytes, to_linear
from tether.frame.face_zones import Zone
from tether.model import Rect

U8 = NDArray[np.uint8]

PUPILS = ((203.5, 101.0), (246.5, 103.0))
"""Middles of the pupils in the 512 px picture, marked by hand: the subject's right, left."""

_CUT = (80, 0, 320, 260)  # x, y, width, height of what is enlarged
_NOSE = 147  # its column in the cut
_AROUND = 40  # px that a blurred zone reaches beyond itself: an edge width looks at 24 of them


def astronaut(size: int = 512) -> U8:
    """The whole portrait in grey, `size` x `size` px."""
    light = to_linear(data.astronaut() / 255) @ as_field([0.2126, 0.7152, 0.0722])
    return to_bytes(_sized(light, (size, size)))


def on_canvas(shape: tuple[int, int], size: int, x: int, y: int) -> U8:
    """The portrait, `size` px, on a grey canvas with its corner at x, y."""
    canvas = np.full(shape, 150, np.uint8)
    canvas[y : y + size, x : x + size] = astronaut(size)
    return canvas


@lru_cache(maxsize=2)
def fine_portrait(times: int = 6, detail: float = 1.0, far_half: float = 1.0) -> Field:
    """Light of head and shoulders, `times` as large as the photograph and as sharp.

    `detail` is the contrast of what is drawn in against what is there. `far_half` below 1 squeezes
    the half of the face on the right, as a turned head shows it.
    """
    x, y, width, height = _CUT
    light = to_linear(data.astronaut()[y : y + height, x : x + width] / 255)
    grey = np.clip(light @ as_field([0.2126, 0.7152, 0.0722]), 0.003, None)
    if far_half < 1:
        grey = _squeezed(grey, far_half)
    logs = np.log(grey)
    contrast = np.sqrt(ndimage.gaussian_filter((logs - ndimage.gaussian_filter(logs, 1)) ** 2, 2))
    shape = (height * times, width * times)
    drawn = np.zeros(shape, np.float32)
    rng = np.random.default_rng(5)
    scale, share = times / 2, 1.0
    while scale > 0.6:
        noise = rng.standard_normal(shape, np.float32)
        band = ndimage.gaussian_filter(noise, scale / 2) - ndimage.gaussian_filter(noise, scale)
        drawn += share * np.tanh(2 * band / band.std())
        scale, share = scale / 2, share * 0.8
    large = _sized(as_field(logs), shape) + detail * _sized(as_field(contrast), shape) * drawn
    return as_field(np.clip(ndimage.gaussian_filter(np.exp(large), 0.6), 0, 1))


def with_blurred(light: Field, disks: Mapping[Rect, float]) -> Field:
    """The same light with each rectangle, and what is around it, blurred by a disk, px across."""
    out = light.copy()
    for rect, diameter in disks.items():
        top, left = max(rect.y - _AROUND, 0), max(rect.x - _AROUND, 0)
        bottom, right = rect.y + rect.height + _AROUND, rect.x + rect.width + _AROUND
        reach = int(diameter) + 1
        wide = light[max(top - reach, 0) : bottom + reach, max(left - reach, 0) : right + reach]
        soft = blur.apply(wide, blur.disk(diameter)) if diameter >= 1 else wide
        y, x = top - max(top - reach, 0), left - max(left - reach, 0)
        part = out[top:bottom, left:right]
        part[:] = soft[y : y + part.shape[0], x : x + part.shape[1]]
    return out


def focused_at(light: Field, zones: Sequence[Zone], depth: float, px: float) -> Field:
    """The portrait focused at a depth, in eye distances before the eyes.

    A zone's blur disk grows by `px` for each eye distance that it lies before or behind. What is
    nearer covers what is farther, as in front of a camera.
    """
    nearest_last = sorted(zones, key=lambda zone: zone.depth)
    return with_blurred(light, {z.rect: px * abs(z.depth - depth) for z in nearest_last})


def exposed(light: Field, noise: float = 0.004, seed: int = 0) -> U8:
    """Shot noise, `noise` of full scale where it is brightest, and the sRGB code."""
    grain = np.random.default_rng(seed).standard_normal(light.shape, np.float32)
    return to_bytes(as_field(light + noise * grain * np.sqrt(np.clip(light, 0, 1) + 0.003)))


def _sized(field: Field, shape: tuple[int, int]) -> Field:
    smaller = shape[0] < field.shape[0]
    return as_field(resize(field, shape, order=3, anti_aliasing=smaller, mode="edge"))


def _squeezed(grey: Field, far_half: float) -> Field:
    columns = np.arange(grey.shape[1])
    source = np.where(columns < _NOSE, columns, _NOSE + (columns - _NOSE) / far_half)
    rows = np.arange(grey.shape[0])[:, None] + 0 * columns
    across = np.broadcast_to(source, grey.shape)
    return as_field(ndimage.map_coordinates(grey, [rows, across], order=1, mode="reflect"))
