"""The product set: a thrown bowl and its card on a table, a plain bottle beside them."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from mocks.light import Field
from mocks.scenes.layers import Layer, Scene
from mocks.scenes.lettering import card
from mocks.scenes.pottery import Glaze, Profile, shadow, vessel
from mocks.scenes.surface import bricks, glow, wood
from tether.model import Rect

WIDTH, HEIGHT = 1800, 1200
CARD_AT = (1010, 742)
_HORIZON = 560
_ROOM = 12

BOWL = ((0, 330), (40, 326), (120, 296), (200, 240), (262, 168), (286, 134), (300, 128), (318, 132))
BOTTLE = (
    (0, 44),
    (14, 36),
    (70, 31),
    (150, 40),
    (230, 92),
    (330, 150),
    (450, 166),
    (560, 142),
    (610, 118),
    (620, 118),
)
CUP = ((0, 88), (30, 84), (110, 80), (160, 66), (176, 54), (186, 54))
JAR = ((0, 70), (16, 62), (40, 70), (120, 130), (220, 140), (300, 110), (340, 80), (350, 80))
PLATE = ((0, 320), (20, 312), (60, 240), (86, 160), (100, 150), (112, 150))

TENMOKU = Glaze("c2a473", "38241a", "94502a", 0.52, 5.0, mottle=0.10, rings=0.045, gloss=0.26)
CELADON = Glaze("a9b9ab")
OATMEAL = Glaze("cdbfa4", specks=2.0, mottle=0.06, rings=0.05, gloss=0.1)
COBALT = Glaze("2f4a6b", "c9c2b0", "b9b5aa", 0.3, 0.5, mottle=0.1, rings=0.04, gloss=0.2)


def smaller(profile: Profile, scale: float) -> Profile:
    """Return the profile of a vessel farther away."""
    return tuple((height * scale, radius * scale) for height, radius in profile)


def place(
    x: float,
    y: float,
    profile: Profile,
    glaze: Glaze,
    seed: int,
    depth: float = 0.0,
    subject: bool = False,
) -> Layer:
    """Return a vessel as a layer, the middle of its foot at x, y."""
    light, cover, (cx, top) = vessel(profile, glaze, seed)
    left, above = round(x - cx), round(y - top - profile[-1][0])
    return Layer(light, cover, left, above, depth, subject)


@lru_cache(maxsize=1)
def bowl() -> Scene:
    """Return the product set; its areas are `label`, `glaze` (speckled) and `plain`."""
    shape = (_HORIZON + 40, WIDTH)  # the table hides the rest
    far = bricks(shape) * (0.30 + 0.55 * glow(shape, 620, 260, 620))
    table = tabletop(_table(), _HORIZON, (11.0, -14.5))
    light, cover = card()
    label = Layer(light, cover, *CARD_AT, 0.0, True)
    layers = (
        Layer(far.astype(np.float32), None, 0, 0, 14.0),
        table,
        place(250, 640, JAR, COBALT, 5, 9.0),
        place(1400, 905, BOTTLE, CELADON, 2),
        place(690, 940, BOWL, TENMOKU, 1, subject=True),
        label,
        place(300, 1120, CUP, OATMEAL, 3, -8.0),
    )
    areas = {
        "label": Rect(1034, 770, 318, 200),
        "glaze": Rect(575, 850, 230, 84),
        "plain": Rect(1340, 590, 160, 130),
    }
    return Scene(WIDTH, HEIGHT, layers, areas)


def _table() -> Field:
    shape = (HEIGHT - _HORIZON, WIDTH)
    top = wood((650, WIDTH), 7)[: shape[0]] * (0.35 + 0.75 * glow(shape, 640, 250, 640))
    for x, y, wide, tall in (
        (250, 640, 110, 26),
        (1400, 915, 190, 44),
        (690, 955, 230, 56),
        (300, 1125, 90, 26),
        (1180, 975, 180, 12),
    ):
        top = top * shadow(shape, x, y - _HORIZON, wide, tall)
    return top.astype(np.float32)


def tabletop(light: Field, horizon: int, depth: tuple[float, float]) -> Layer:
    """Return a receding surface as a layer, with room above its far edge for the blur of it."""
    room = ((_ROOM, 0), (0, 0))
    cover = np.pad(np.ones(light.shape[:2], np.float32), room)
    slope = (depth[1] - depth[0]) / len(light)
    far = depth[0] - _ROOM * slope
    return Layer(np.pad(light, (*room, (0, 0))), cover, 0, horizon - _ROOM, (far, depth[1]))
