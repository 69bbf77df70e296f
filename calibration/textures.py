"""Dense textures for rendered subjects: what covers an area from edge to edge.

Gravel and crushed stone, turf and fur, masonry, branching vessels, woven cloth, crackled glaze.
Each takes a side in px and a generator, and returns light in [0, 1], `FINE` times finer.
"""

from __future__ import annotations

import math

import numpy as np
from PIL import Image, ImageDraw
from scipy import ndimage
from scipy.spatial import cKDTree

from calibration import shapes
from calibration.shapes import FINE, F, Rng, grey


def gravel(side: int, rng: Rng) -> F:
    """Stones side by side, each a shaded bulge with a surface of its own, gaps dark."""
    fine = side * FINE
    across = float(rng.choice([4, 8, 16, 32])) * FINE
    number = int((fine / across + 3) ** 2)
    middles = rng.uniform(-across, fine + across, (number, 2))
    away, which = _nearest_two(middles, fine)
    edge = away[1] - away[0]
    gap = across * rng.uniform(0.02, 0.25)
    bulge = np.clip(edge / (across * rng.uniform(0.2, 0.8)), 0, 1) ** rng.uniform(0.3, 1)
    own = rng.uniform(0.15, 0.9, number) ** rng.uniform(0.5, 2)
    lit = rng.normal(0, 0.3 / across, 2)
    offset = (np.indices((fine, fine)).transpose(1, 2, 0) - middles[which]) @ lit
    light = own[which] * (0.35 + 0.65 * bulge) * (1 + offset)
    light = np.where(edge < gap, light * rng.uniform(0.05, 0.6), light)
    return _surfaced(light, side, rng)


def turf(side: int, rng: Rng) -> F:
    """Blades, needles or hairs that cover the ground in layers, the lower ones darker."""
    fine = side * FINE
    ground = float(rng.uniform(0, 0.2))
    image = Image.new("F", (fine, fine), ground)
    draw = ImageDraw.Draw(image)
    wide, long = float(rng.choice([1, 1.5, 2.5, 4])) * FINE, fine * rng.uniform(0.05, 0.35)
    turn, spread = rng.uniform(0, np.pi), rng.choice([0.2, 0.6, 3])
    number = int(min(fine**2 * rng.uniform(1, 3) / (wide * long), 9000))
    contrast = rng.uniform(0.2, 0.6)
    along = np.linspace(-0.5, 0.5, 7)
    for depth in np.linspace(0.15, 1, number):
        a = turn + spread * rng.normal()
        u, v = along * long, rng.normal(0, 0.3) * long * along**2
        spine = np.stack([u * np.cos(a) - v * np.sin(a), u * np.sin(a) + v * np.cos(a)], 1)
        spine += rng.uniform(0, fine, 2)
        half = wide / 2 * float(np.exp(0.3 * rng.normal())) * (1 - (2 * along) ** 2)
        normal = np.array([-np.sin(a), np.cos(a)])
        outline = np.concatenate(
            [spine + half[:, None] * normal, (spine - half[:, None] * normal)[::-1]]
        )
        value = grey(ground + depth * (0.4 + contrast * rng.normal()))
        draw.polygon(shapes.points(outline), fill=value)
        if rng.random() < 0.3:  # a lit rib
            draw.line(
                shapes.points(spine), fill=grey(float(value) * 1.4), width=max(int(wide / 6), 1)
            )
    return np.asarray(image, np.float32)


def masonry(side: int, rng: Rng) -> F:
    """Courses of bricks or tiles with joints, rough within, the whole turned a little."""
    fine = side * FINE
    high = float(rng.choice([8, 16, 32, 64])) * FINE
    wide, joint = high * rng.uniform(1, 3.5), high * rng.uniform(0.03, 0.15)
    a = float(rng.choice([0, rng.uniform(-0.3, 0.3), rng.uniform(0, np.pi)]))
    y, x = np.indices((fine, fine)).astype(np.float64)
    rough = joint * rng.uniform(0, 0.4)
    wander = ndimage.zoom(shapes.fractal(side, rng, 1.4), FINE, order=1)
    u = x * math.cos(a) - y * math.sin(a) + rough * wander + 9 * wide
    v = x * math.sin(a) + y * math.cos(a) + rough * wander.T + 9 * high
    course = np.floor(v / high)
    u = u + course % 2 * wide / 2
    brick = np.floor(u / wide)
    inside = (np.mod(u, wide) > joint) & (np.mod(v, high) > joint)
    own = rng.uniform(0.25, 0.75, 4096)
    base = own[(course * 67 + brick).astype(int) % 4096]
    flat = rng.uniform(0.3, 0.6)
    base = flat + (base - flat) * rng.uniform(0.1, 1)
    light = np.where(inside, base, rng.uniform(0.1, 0.9))
    return _surfaced(light, side, rng)


def branches(side: int, rng: Rng) -> F:
    """Thin lines that fork, on smooth ground: veins, twigs, roots, cracks."""
    fine = side * FINE
    light = ndimage.zoom(shapes.shading(side, rng), FINE, order=1)
    light = rng.uniform(0.1, 0.5) + rng.uniform(0.05, 0.4) * light
    image = Image.fromarray(light.astype(np.float32))
    draw = ImageDraw.Draw(image)
    drawn = float(rng.choice([rng.uniform(0.3, 0.85), rng.uniform(1.15, 1.8)]))

    def grow(x: float, y: float, a: float, wide: float) -> None:
        if wide < 0.4 * FINE:
            return
        for _ in range(int(rng.integers(6, 20))):
            a += 0.25 * rng.normal()
            step = fine * 0.03
            to = x + step * math.cos(a), y + step * math.sin(a)
            here = light[int(np.clip(y, 0, fine - 1)), int(np.clip(x, 0, fine - 1))]
            draw.line([x, y, *to], fill=grey(here * drawn), width=max(round(wide), 1))
            x, y = to
        for turn in (-1, 1):
            grow(x, y, a + turn * rng.uniform(0.2, 0.9), wide * rng.uniform(0.5, 0.85))

    for _ in range(int(rng.integers(2, 7))):
        x, y = rng.uniform(0, fine, 2)
        grow(x, y, rng.uniform(0, 2 * np.pi), FINE * rng.uniform(1, 6))
    return np.asarray(image, np.float32)


def cloth(side: int, rng: Rng) -> F:
    """Two sets of threads over and under each other, unevenly spun."""
    fine = side * FINE
    pitch = float(rng.choice([2.5, 4, 7, 12])) * FINE
    a = rng.uniform(0, np.pi)
    y, x = np.indices((fine, fine)).astype(np.float64)
    bend = pitch * rng.uniform(0, 1) * ndimage.zoom(shapes.fractal(side, rng, 1.6), FINE, order=1)
    u = (x * math.cos(a) - y * math.sin(a) + bend) / pitch + 500
    v = (x * math.sin(a) + y * math.cos(a) + bend.T) / pitch + 500
    over = (np.floor(u) + np.floor(v) * rng.choice([1, 1, 2])) % rng.choice([2, 2, 4]) < 1
    threads = rng.uniform(0.3, 1, (2, 2048))
    threads = 1 + rng.uniform(0.05, 1) * (threads - 1)
    round_u = np.sin(np.pi * np.mod(u, 1)) ** rng.uniform(0.2, 1)
    round_v = np.sin(np.pi * np.mod(v, 1)) ** rng.uniform(0.2, 1)
    one = threads[0][np.floor(u).astype(int) % 2048] * round_u
    other = threads[1][np.floor(v).astype(int) % 2048] * round_v * rng.uniform(0.4, 1)
    return np.asarray(np.clip(rng.uniform(0.4, 1) * np.where(over, one, other), 0, 1), np.float32)


def crackle(side: int, rng: Rng) -> F:
    """A glaze or dried ground crossed by fine cracks of uneven width."""
    fine = side * FINE
    across = float(rng.choice([10, 24, 60])) * FINE
    middles = rng.uniform(-across, fine + across, (int((fine / across + 3) ** 2), 2))
    away, _ = _nearest_two(middles, fine)
    wander = ndimage.zoom(shapes.fractal(side, rng, 1.2), FINE, order=1)
    crack = (away[1] - away[0]) < FINE * rng.uniform(0.5, 2.5) * np.exp(0.6 * wander)
    light = rng.uniform(0.3, 0.8) + 0.2 * ndimage.zoom(shapes.shading(side, rng), FINE, order=1)
    return _surfaced(np.where(crack, light * rng.uniform(0.1, 0.8), light), side, rng)


ANY = (gravel, turf, masonry, branches, cloth, crackle)


def _nearest_two(middles: shapes.Outline, fine: int) -> tuple[shapes.Outline, shapes.Outline]:
    """Distances to the nearest two of some points, shape (2, fine, fine), and the nearest one."""
    places = np.indices((fine, fine)).reshape(2, -1).T
    away, which = cKDTree(middles).query(places, k=2)
    return away.T.reshape(2, fine, fine), which[:, 0].reshape(fine, fine)


def _surfaced(light: shapes.Outline, side: int, rng: Rng) -> F:
    """With a rough surface, fine or coarse, weak or strong."""
    grain = ndimage.zoom(shapes.fractal(side, rng, rng.uniform(0.3, 1.4)), FINE, order=1)
    return np.asarray(np.clip(light * (1 + rng.uniform(0, 0.25) * grain), 0, 1), np.float32)
