"""Areas of scored subjects with a blur that is known, and what is read from them.

The truth is that of a step: square pixels average it, a Gaussian stands for what the reduced
picture kept, the kernel blurs it, an unsharp mask sharpens it; its 10-90 % rise is taken in 24
directions. Kernels, exposure and truth are those of `tests.sharpness.pictures`; the
calibration has its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from skimage.measure import blur_effect

from calibration.photographs import Content
from tests.sharpness.pictures import U8, F, blur, coded, disk, expose, gauss, join, path, rise
from tether.model import Measurement, Rect
from tether.sharpness.energy import energy
from tether.sharpness.measure import MARGIN, measure
from tether.sharpness.tone import ToneCurve

KINDS = ("as taken", "Gaussian", "defocus", "shake", "motion")
_TURNS = tuple(7.5 * n for n in range(24))
_SIDES = (96, 128, 160, 200, 240)
_PIXEL = 1 / 12
_PLACES = 4


@dataclass(frozen=True, slots=True)
class Trial:
    """One area: what was done to it, its true widths in px, and what was read.

    `added` is what the blur added to the widest; `others` are softness by variance of the
    Laplacian, Tenengrad and blur_effect: higher is softer.
    """

    subject: str
    kind: str
    widest: float
    narrowest: float
    added: float
    angle: float
    noise: float
    area: U8
    read: Measurement
    others: tuple[float, float, float]

    @property
    def moved(self) -> bool:
        """Whether a movement made it wider one way than the other."""
        return self.kind in {"shake", "motion"} and self.widest > 1.25 * self.narrowest


def trials(
    subjects: dict[str, list[Content]], kind: str, count: int, rng: np.random.Generator
) -> Iterator[Trial]:
    """Draw trials of a kind, every subject as often as the others."""
    names = sorted(subjects)
    for number in range(count):
        name = names[number % len(names)]
        some = subjects[name]
        yield _trial(name, some[int(rng.integers(len(some)))], kind, rng)


def _trial(name: str, content: Content, kind: str, rng: np.random.Generator) -> Trial:
    lens = gauss(float(rng.choice([0.35, 0.5, 0.7])))
    kernel, angle = _kernel(kind, rng)
    whole = lens if kernel is None else join(kernel, lens)
    sharpened = (rng.uniform(0.3, 1.0), rng.uniform(0.6, 1.2)) if rng.random() < 0.25 else None
    native = float(np.sqrt(content.native**2 + _PIXEL))
    rises = [rise(whole, t, native, sharpened) for t in (_TURNS if angle is not None else (0.0,))]
    noise = float(rng.choice([0.003, 0.01, 0.025]))
    picture = expose(
        blur(cut(content.light, rng), whole),
        rng,
        gain=float(np.exp(rng.uniform(np.log(0.15), 0))),
        veil=float(rng.uniform(0, 0.25)),
        noise=noise,
        grain=bool(rng.random() < 0.5),
        bend=float(rng.choice([0, 0, 0.4])),
        sharpened=sharpened,
        quality=int(rng.integers(85, 99)),
    )
    inner = within(picture)
    area = picture[inner.y : inner.y + inner.height, inner.x : inner.x + inner.width]
    added = max(rises) - rise(lens, 0, native, sharpened)
    found = measure(picture, inner)
    return Trial(
        name, kind, max(rises), min(rises), added, angle or 0.0, noise, area, found, other(area)
    )


def cut(light: F, rng: np.random.Generator, side: int | None = None) -> F:
    """A part of the light, with room for a margin, put where there is something to see.

    Of a few places drawn anywhere, the one with the strongest edges: a photographer points the
    camera no worse.
    """
    side = int(rng.choice(_SIDES)) if side is None else side
    rows, columns = (min(n, side + 2 * MARGIN) for n in light.shape)
    parts = []
    for _ in range(_PLACES):
        top = int(rng.integers(light.shape[0] - rows + 1))
        left = int(rng.integers(light.shape[1] - columns + 1))
        parts.append(light[top : top + rows, left : left + columns])
    return max(parts, key=_strongest_edges)


def _strongest_edges(part: F) -> float:
    middle = coded(part[MARGIN:-MARGIN, MARGIN:-MARGIN]).astype(np.float64)
    return float(sum(np.percentile(np.abs(np.diff(middle, axis=axis)), 98) for axis in (0, 1)))


def within(picture: U8) -> Rect:
    """The area of a picture that is all area and margin."""
    rows, columns = picture.shape
    margin = max(min(MARGIN, (min(rows, columns) - 64) // 2), 0)
    return Rect(margin, margin, columns - 2 * margin, rows - 2 * margin)


def _kernel(kind: str, rng: np.random.Generator) -> tuple[F | None, float | None]:
    """A kernel of a kind with a random size, and the angle of its movement."""
    if kind == "Gaussian":
        return gauss(rng.uniform(0.8, 4.5)), None
    if kind == "defocus":
        return disk(rng.uniform(2.0, 16.0)), None
    if kind in {"shake", "motion"}:
        angle = float(rng.uniform(0, 180))
        bend = float(rng.uniform(-0.3, 0.3)) if kind == "shake" else 0.0
        return path(rng.uniform(4.0, 14.0), angle, bend), angle
    return None, None


def other(area: U8) -> tuple[float, float, float]:
    """Softness by variance of the Laplacian, Tenengrad and blur_effect."""
    p = area.astype(np.float64)
    gradient = ndimage.sobel(p, 0) ** 2 + ndimage.sobel(p, 1) ** 2
    return -float(ndimage.laplace(p).var()), -float(gradient.mean()), float(blur_effect(area))


def bracket(content: Content, rng: np.random.Generator) -> list[float]:
    """Ranking of the frames of a focus bracket, from far in front to far behind, light unsteady."""
    part = cut(content.light, rng, 128)
    best = rng.uniform(-1, 1)
    found = []
    for step in range(-6, 7):
        diameter = abs(2 * step - best)
        kernel = join(disk(diameter), gauss(0.5)) if diameter > 0.3 else gauss(0.5)
        gain = 0.6 * float(rng.uniform(0.9, 1.1))
        picture = expose(blur(part, kernel), rng, gain=gain, noise=0.006, grain=True, quality=95)
        found.append(energy(picture, within(picture), ToneCurve.SRGB))
    return found
