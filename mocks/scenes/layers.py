"""A scene as layers, back to front, and the picture of it for one position of focus.

Depth is counted in px of blur: a layer at depth d, with the focus at depth f, is imaged with a
blur disk of |d - f| px. The subject is at 0, what is nearer is negative.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from mocks import blur
from mocks.light import Field
from tether.model import Rect

_LEVELS = (0.0, 2.0, 4.0, 7.0, 11.0, 16.0, 22.0)


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """One thing in a scene, in focus.

    `light` is premultiplied linear light, shape (height, width, 3); `cover` is how much of what
    is behind it hides, shape (height, width), None for all of it; `x`, `y` is its top-left corner
    in the scene.
    `depth` is one number, or the depths of its top and bottom rows for a surface that recedes.
    """

    light: Field
    cover: Field | None
    x: int = 0
    y: int = 0
    depth: float | tuple[float, float] = 0.0
    subject: bool = False


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Scene:
    """Layers, and the areas of it that a photographer may point the camera at."""

    width: int
    height: int
    layers: tuple[Layer, ...]
    areas: dict[str, Rect]


@lru_cache(maxsize=5)
def compose(
    scene: Scene, focus: float = 0.0, motion_px: float = 0.0, motion_deg: float = 0.0
) -> Field:
    """Return the light that reaches the sensor, shape (height, width, 3); do not write to it.

    Parameters
    ----------
    scene
        What stands before the camera.
    focus
        The depth that is in focus, in px of blur: negative in front of the subject.
    motion_px, motion_deg
        A movement of the subject's layers alone, px, and degrees counter-clockwise from +x.
    """
    picture = np.zeros((scene.height, scene.width, 3), np.float32)
    for layer in scene.layers:
        stack = _inside(layer, scene)
        if not stack.size:
            continue
        blurred = _defocus(stack, layer.depth, focus)
        if layer.subject and motion_px > 0:
            blurred = blur.apply(blurred, blur.shake(motion_px, motion_deg))
        y, x = max(layer.y, 0), max(layer.x, 0)
        place = picture[y : y + blurred.shape[0], x : x + blurred.shape[1]]
        if blurred.shape[2] == 4:
            place *= 1 - blurred[..., 3:]
        place += blurred[..., :3]
    picture *= _falloff(scene.height, scene.width)
    picture.flags.writeable = False
    return picture


@lru_cache(maxsize=4)
def _falloff(height: int, width: int) -> Field:
    """Return the lens's loss of light towards the corners, shape (height, width, 1)."""
    down = np.linspace(-1, 1, height, dtype=np.float32)[:, None, None]
    across = np.linspace(-1, 1, width, dtype=np.float32)[None, :, None]
    return 1 - 0.13 * (down**2 + across**2)


def _inside(layer: Layer, scene: Scene) -> Field:
    """Return light and, unless all is opaque, cover of the part in the frame, shape (h, w, n)."""
    top, left = max(-layer.y, 0), max(-layer.x, 0)
    bottom, right = max(scene.height - layer.y, 0), max(scene.width - layer.x, 0)
    part = np.s_[top:bottom, left:right]
    if layer.cover is None:
        return layer.light[part]
    return np.dstack([layer.light[part], layer.cover[part]])


def _defocus(stack: Field, depth: float | tuple[float, float], focus: float) -> Field:
    if not isinstance(depth, tuple):
        return blur.apply(stack, blur.disk(abs(depth - focus)))
    # A receding surface: every row between the two nearest of a few levels of blur.
    rows = np.abs(np.linspace(depth[0], depth[1], stack.shape[0]) - focus)
    out = np.zeros_like(stack)
    for i, level in enumerate(_LEVELS):
        below = _LEVELS[i - 1] if i else -1.0
        above = _LEVELS[i + 1] if i + 1 < len(_LEVELS) else np.inf
        weight = np.clip(
            np.minimum(
                (rows - below) / (level - below),
                (above - rows) / (above - level) if np.isfinite(above) else 1.0,
            ),
            0,
            1,
        ).astype(np.float32)
        used = np.flatnonzero(weight)
        if used.size == 0:
            continue
        reach = int(level) + 1
        first, last = int(used[0]), int(used[-1]) + 1
        start, stop = max(first - reach, 0), min(last + reach, len(rows))
        strip = blur.apply(stack[start:stop], blur.disk(level))
        out[first:last] += strip[first - start : last - start] * weight[first:last, None, None]
    return out
