"""Frames as large as a full-frame camera's, for measuring how fast frames are judged."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import Literal

import numpy as np
from PIL import Image

from mocks import sensor
from mocks.light import Field, Pixels, as_field
from mocks.scenes import bowl, compose
from mocks.scenes.lettering import card
from mocks.scenes.product import CARD_AT
from mocks.scenes.surface import grain, weave
from mocks.tags import Tags, tagged
from tether.model import Exposure, Rect

SIZES: dict[int, tuple[int, int]] = {24: (6000, 4000), 45: (8256, 5504)}
"""Width and height, px, by megapixels."""

_ISO = 800
_STRIP = 400
_TILE = 1024
_SENSOR_MM = 36.0


def large_frame(megapixels: Literal[24, 45] = 24, seed: int = 0, quality: int = 95) -> bytes:
    """Return a JPEG with detail and noise all over, sharp at its subject area.

    Parameters
    ----------
    megapixels
        Which of `SIZES`.
    seed
        Of the noise.
    quality
        JPEG's, in libjpeg's scale.
    """
    width, height = SIZES[megapixels]
    scale = width / bowl().width
    rng = np.random.default_rng(seed)
    base = [Image.fromarray(np.ascontiguousarray(c)) for c in np.moveaxis(compose(bowl()), 2, 0)]
    texture = _texture()
    light, cover = _card(scale)
    left, top = round(CARD_AT[0] * scale), round(CARD_AT[1] * scale)
    picture: Pixels = np.empty((height, width, 3), np.uint8)
    for y in range(0, height, _STRIP):
        rows = min(_STRIP, height - y)
        box = (0.0, y / scale, width / scale, (y + rows) / scale)
        strip = np.empty((rows, width, 3), np.float32)
        for c, plane in enumerate(base):
            strip[..., c] = as_field(plane.resize((width, rows), Image.Resampling.BICUBIC, box))
        down = np.arange(y, y + rows) % _TILE
        strip *= np.tile(texture[down], (1, width // _TILE + 1))[:, :width, None]
        first, last = max(y, top), min(y + rows, top + cover.shape[0])
        if first < last:
            part = strip[first - y : last - y, left : left + cover.shape[1]]
            part *= 1 - cover[first - top : last - top, :, None]
            part += light[first - top : last - top]
        picture[y : y + rows] = sensor.expose(strip, _ISO, rng)
    a = bowl().areas["label"]
    place = Rect(*(round(v * scale) for v in (a.x, a.y, a.width, a.height)))
    exposure = Exposure(
        1 / 200, 8.0, 85.0, _ISO, "Studio 85mm f/1.8", "Studio Two", _SENSOR_MM * 1000 / width
    )
    tags = Tags(exposure, width, height, datetime(2026, 5, 14, 11, 40), place)
    return tagged(sensor.jpeg(picture, quality), tags)


@lru_cache(maxsize=2)
def _card(scale: float) -> tuple[Field, Field]:
    return card(scale)


@lru_cache(maxsize=1)
def _texture() -> Field:
    """Return a factor of fine detail that repeats every `_TILE` px."""
    shape = (_TILE, _TILE)
    fine, coarse = grain(shape, 0.75, 41), grain(shape, 2.0, 42)
    detail = 0.09 * fine + 0.04 * coarse + 0.03 * weave(shape, 8.0, 43)
    return as_field(np.clip(1 + detail, 0.5, 1.5))
