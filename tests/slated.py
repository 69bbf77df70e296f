"""Frames with a slate, and ordinary ones, as a camera records them: luma in coded values."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import simplejpeg

from mocks import blur
from mocks.light import Field, as_field, to_bytes, to_linear
from mocks.scenes import bowl, compose, maker
from mocks.scenes.surface import resize
from mocks.slate import Corners, Slate, held
from tests.portraits import U8
from tests.sitters import backdrop
from tether.model import Rect

TEXTS = {
    "qr": "KILN-STREET-BOWL-14",
    "ean13": "4006381333931",
    "ean8": "96385074",
    "upca": "036000291452",
    "upce": "04252614",
    "code128": "BOWL-14",
    "code39": "BOWL14",
    "itf": "12345678901231",
}
"""A code of each kind; those of products are examples whose check digits hold."""

BACKDROPS = ("bowl", "maker", "brick", "coffee", "rocket", "gravel", "page", "grass")
_MARGIN = 0.25


@dataclass(frozen=True, slots=True)
class Taken:
    """How a frame is taken: px of the blur disk, stops of light missing, noise of full scale."""

    defocus_px: float = 0.0
    stops_under: float = 0.0
    noise: float = 0.006
    quality: int = 92


@lru_cache(maxsize=2)
def light_of(name: str, width: int, height: int) -> Field:
    """Linear light of a backdrop, shape (height, width)."""
    if name in {"bowl", "maker"}:
        light = compose(bowl() if name == "bowl" else maker(False))
        grey = light @ as_field([0.299, 0.587, 0.114])
        return as_field(np.clip(resize(grey, (height, width)), 0, 1))
    return to_linear(backdrop(name, (height, width)).astype(np.float32) / 255)


def frame_with(
    slate: Slate, name: str, size: tuple[int, int], taken: Taken, rng: np.random.Generator
) -> tuple[U8, Rect]:
    """A frame of `size` (width, height) with a slate held in it, and where its code lies.

    The rectangle is that about the code and its quiet zone, with a margin.
    """
    width, height = size
    layer, corners = (drawn := held(slate, width, height)).layer, drawn.corners
    light = light_of(name, width, height).copy()
    room = int(np.ceil(taken.defocus_px)) + 1
    cover = np.pad(layer.cover if layer.cover is not None else np.zeros(0), room)
    shade = np.pad(layer.light @ as_field([0.299, 0.587, 0.114]), room)
    stack = blur.apply(np.dstack([shade, cover]), blur.disk(taken.defocus_px))
    left, top = layer.x - room, layer.y - room
    x0, y0 = max(left, 0), max(top, 0)
    x1, y1 = min(left + stack.shape[1], width), min(top + stack.shape[0], height)
    part = stack[y0 - top : y1 - top, x0 - left : x1 - left]
    light[y0:y1, x0:x1] = light[y0:y1, x0:x1] * (1 - part[..., 1]) + part[..., 0]
    frame = recorded(light * np.float32(2**-taken.stops_under), taken, rng)
    return frame, about(corners, width, height)


def recorded(light: Field, taken: Taken, rng: np.random.Generator) -> U8:
    """What a camera makes of light: noise, tone curve, JPEG; `light` is used up."""
    tile = as_field(taken.noise * rng.standard_normal((500, 600)))
    times = [-(-a // b) for a, b in zip(light.shape, tile.shape, strict=True)]
    # Shot noise: `taken.noise` at full scale, less in the shadows.
    light += np.tile(tile, times)[: light.shape[0], : light.shape[1]] * np.sqrt(light + 0.01)
    coded = to_bytes(light)
    file = simplejpeg.encode_jpeg(
        coded[..., np.newaxis], quality=taken.quality, colorspace="GRAY", colorsubsampling="Gray"
    )
    return np.asarray(simplejpeg.decode_jpeg(file, colorspace="GRAY")[..., 0])


def about(corners: Corners, width: int, height: int) -> Rect:
    """The rectangle about some points with a margin, cut at the frame."""
    low, high = corners.min(0), corners.max(0)
    low, high = low - _MARGIN * (high - low), high + _MARGIN * (high - low)
    x0, y0 = np.clip(np.floor(low), 0, [width, height]).astype(int).tolist()
    x1, y1 = np.clip(np.ceil(high), 0, [width, height]).astype(int).tolist()
    return Rect(x0, y0, x1 - x0, y1 - y0)


def cut(luma: U8, rect: Rect) -> U8:
    """A part of a frame."""
    part = luma[rect.y : rect.y + rect.height, rect.x : rect.x + rect.width]
    return np.ascontiguousarray(part)
