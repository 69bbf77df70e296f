"""The portrait set: the maker at her bench, pots before her and a shelf behind."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw
from scipy import ndimage

from mocks.light import Field, as_field, paint
from mocks.scenes.head import LEFT_EYE, head
from mocks.scenes.layers import Layer, Scene
from mocks.scenes.pottery import shadow
from mocks.scenes.product import (
    BOTTLE,
    BOWL,
    CELADON,
    COBALT,
    CUP,
    JAR,
    OATMEAL,
    PLATE,
    TENMOKU,
    place,
    smaller,
    tabletop,
)
from mocks.scenes.surface import bricks, clouds, glow, grain, weave, wood
from tether.model import Rect

_SIDE = 1800
_LEVEL = (0, 300, 1800, 1200)
_UPRIGHT = (280, 0, 1200, 1800)
_HEAD = (690, 430)
_BENCH = 1150
_SHELF = (560, 596)
_BODY = ((824, 800), (816, 850), (770, 890), (690, 922), (628, 952), (590, 1000), (566, 1080),
         (540, 1300), (1240, 1300), (1214, 1080), (1190, 1000), (1152, 952), (1090, 922),
         (1012, 890), (966, 850), (958, 800))  # fmt: skip
_BIB = ((742, 1010), (1038, 1010), (1080, 1320), (700, 1320))
_STRAPS = (((744, 1012), (774, 1012), (806, 862), (788, 868)),
           ((1006, 1012), (1036, 1012), (992, 866), (974, 858)))  # fmt: skip


@lru_cache(maxsize=2)
def maker(upright: bool = False) -> Scene:
    """Return the portrait set, 1800 by 1200 px or upright; its one area is `eye`."""
    left, top, width, height = _UPRIGHT if upright else _LEVEL
    layers = tuple(
        Layer(s.light, s.cover, s.x - left, s.y - top, s.depth, s.subject) for s in _things()
    )
    x, y = _HEAD[0] + LEFT_EYE[0] - left, _HEAD[1] + LEFT_EYE[1] - top
    return Scene(width, height, layers, {"eye": Rect(x - 70, y - 52, 140, 104)})


@lru_cache(maxsize=1)
def _things() -> tuple[Layer, ...]:
    face, cover = head()
    stand = _SHELF[0] - 10
    bench = tabletop(_bench(), _BENCH, (-2.0, -24.0))
    return (
        Layer(_wall(), None, 0, 0, 13.0),
        place(250, stand, smaller(JAR, 0.66), COBALT, 5, 11.0),
        place(420, stand, smaller(CUP, 0.62), OATMEAL, 6, 11.0),
        place(540, stand, smaller(CUP, 0.62), CELADON, 6, 11.0),
        place(1330, stand, smaller(BOTTLE, 0.4), CELADON, 2, 11.0),
        place(1560, stand, smaller(JAR, 0.66), OATMEAL, 8, 11.0),
        _body(),
        Layer(face, cover, *_HEAD, 0.0, True),
        bench,
        place(420, 1345, BOWL, TENMOKU, 1, -11.0),
        place(1010, 1300, CUP, COBALT, 9, -10.0),
        place(1235, 1330, CUP, OATMEAL, 3, -11.0),
        place(1480, 1400, JAR, COBALT, 5, -12.0),
        place(900, 1700, PLATE, OATMEAL, 10, -18.0),
    )


def _wall() -> Field:
    shape = (1240, _SIDE)  # the bench hides the rest
    wall = bricks(shape) * (0.42 + 0.5 * glow(shape, 800, 560, 620))
    shelf = wood((_SIDE - _BENCH, _SIDE), 7)[-(_SHELF[1] - _SHELF[0]) :] * 0.4
    for left, right in ((90, 640), (1190, 1740)):
        under = np.clip(np.arange(70, dtype=np.float32) / 70, 0, 1)[:, None, None]
        wall[_SHELF[1] : _SHELF[1] + 70, left:right] *= 0.45 + 0.55 * under
        wall[_SHELF[0] : _SHELF[1], left:right] = shelf[:, left:right]
    return wall.astype(np.float32)


def _bench() -> Field:
    shape = (_SIDE - _BENCH, _SIDE)
    top = wood(shape, 7) * (0.4 + 0.7 * glow(shape, 760, 150, 620))
    for x, y, wide, tall in ((420, 1355, 200, 46), (1010, 1305, 90, 24), (1235, 1335, 90, 24),
                             (1480, 1405, 120, 30), (900, 1710, 260, 50)):  # fmt: skip
        top = top * shadow(shape, x, y - _BENCH, wide, tall)
    return top.astype(np.float32)


def _body() -> Layer:
    """Return jersey and apron."""
    left, top, right, bottom = 480, 800, 1330, 1300
    shape = (bottom - top, right - left)
    down, across = np.indices(shape, np.float32)
    side = (across + left - 888) / 380
    round_ = 0.62 - 0.42 * side - 0.35 * np.clip(np.abs(side) - 0.55, 0, None)
    folds = 0.10 * clouds(shape, (150, 60), 21) + 0.05 * clouds(shape, (60, 34), 22)
    shade = np.clip(round_ + folds, 0.06, None) * (0.75 + 0.25 * np.clip(down / 120, 0, 1))
    knit = 1 + 0.14 * weave(shape, 5.0, 23) + 0.05 * grain(shape, 0.8, 24)
    canvas = 1 + 0.07 * weave(shape, 4.0, 25) + 0.04 * grain(shape, 0.8, 26)
    body = _drawn((_BODY,), left, top, shape, 9.0)
    apron = _drawn((_BIB, *_STRAPS), left, top, shape, 1.2) * body
    lifted = np.clip(ndimage.shift(apron, (5, 4), order=1) - apron, 0, 1)
    jersey = (shade * knit * (1 - 0.5 * ndimage.gaussian_filter(lifted, 2)))[..., None]
    hem = _drawn((_BIB,), left, top, shape, 1.2)
    seam = ndimage.shift(hem, (14, 0), order=1) - ndimage.shift(hem, (16.4, 0), order=1)
    stitch = np.clip(seam, 0, 1) * (np.sin(across / 1.6) > -0.3)
    cloth = (shade * canvas * 1.05 + 0.5 * stitch)[..., None] * paint("b08b5f")
    light = jersey * paint("2c2d31") * (1 - apron[..., None]) + cloth * apron[..., None]
    return Layer(as_field(light * body[..., None]), body, left, top, 0.0, True)


def _drawn(
    shapes: tuple[tuple[tuple[int, int], ...], ...],
    left: int,
    top: int,
    shape: tuple[int, int],
    soften: float,
) -> Field:
    """Return the cover of polygons with corners rounded over `soften` px, edges 2 px wide."""
    drawing = Image.new("L", (shape[1] * 2, shape[0] * 2), 0)
    draw = ImageDraw.Draw(drawing)
    for points in shapes:
        draw.polygon([((x - left) * 2, (y - top) * 2) for x, y in points], fill=255)
    fine = ndimage.gaussian_filter(np.asarray(drawing, np.float32) / 255, soften * 2)
    crisp = (fine > 0.5).astype(np.float32)
    half = crisp.reshape(shape[0], 2, shape[1], 2).mean(axis=(1, 3))
    return as_field(ndimage.gaussian_filter(half, 0.72))
