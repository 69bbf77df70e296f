"""Pairs of frames of one subject with a known blur between them, as cameras would record them.

The scene is a photograph at two samples a pixel: it is blurred, moved by fractions of a pixel,
turned and scaled there, and only then integrated over the pixels of the two frames, so that what
a sensor folds back at its Nyquist frequency is folded back here too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from tests.sharpness.pictures import U8, F, blur, disk, expose, gauss, join, path, rise
from tether.model import Rect

OWN = 0.45
"""Standard deviation, px, of the blur that a reduced photograph keeps."""

LENSES = (0.35, 0.5, 0.7)
"""Standard deviations, px, of lenses in focus."""

MARGIN = 24
FARTHEST = 20.0
NOISES = (0.003, 0.01, 0.025)
ANGLES = tuple(float(a) for a in range(0, 180, 15))

RISE = {"unchanged": 0.0, "Gaussian": 2.563103, "defocus": 4 * 0.687049, "shake": 0.8 * 12**0.5}
"""10–90 % rise over standard deviation of each kind of blur."""

_FINE = 2  # samples a pixel
_PIXEL = 12**-0.5  # px, standard deviation of a pixel's own blur
_AWAY = int(FARTHEST) + 2


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Light of a subject at two samples a pixel, and the photograph it is of."""

    light: F
    photograph: str


@dataclass(frozen=True, slots=True)
class Light:
    """How a frame was lit and recorded; see `tests.sharpness.pictures.expose`.

    `slope` is the change of light across the area along x and y as a fraction.
    """

    gain: float = 1.0
    veil: float = 0.0
    slope: tuple[float, float] = (0.0, 0.0)
    noise: float = 0.003
    grain: bool = False
    quality: int | None = 95


@dataclass(frozen=True, slots=True)
class Made:
    """One frame's lens and blur (px, degrees), and how it stands (px, degrees, times)."""

    lens: float = 0.5
    kind: str = "unchanged"
    size: float = 0.0
    angle: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    turned: float = 0.0
    scaled: float = 1.0


@dataclass(frozen=True, slots=True)
class Pair:
    """Two frames of one subject, the area in both, and the truth.

    Widths are 10–90 % rise distances, px, along each of `ANGLES`: of the frame, of the reference,
    and of the blur alone that lies between them, negative where the frame is the sharper.
    """

    frame: U8
    reference: U8
    inner: Rect
    kind: str
    frame_px: F
    reference_px: F
    added_px: F
    shift: tuple[float, float]
    lights: tuple[Light, Light]
    photograph: str


@cache
def blur_kernel(kind: str, size: float, angle: float) -> F:
    """Kernel of a blur alone on the scene's grid; sizes in px of the frames."""
    if kind == "Gaussian":
        return gauss(_FINE * size)
    if kind == "defocus":
        return disk(_FINE * size)
    if kind == "shake":
        return path(_FINE * size, angle, 0.15)
    return np.ones((1, 1))


@cache
def kernel(lens: float, kind: str, size: float, angle: float) -> F:
    """Kernel of lens and blur on the scene's grid."""
    own = gauss(_FINE * lens)
    return own if kind == "unchanged" else join(blur_kernel(kind, size, angle), own)


@cache
def widths(lens: float, kind: str, size: float, angle: float) -> F:
    """10–90 % rise, px, along each of `ANGLES`, of an edge behind lens, blur and pixel."""
    native = _FINE * float(np.hypot(OWN, _PIXEL))
    turns = ANGLES if kind == "shake" else (0.0,)
    found = [rise(kernel(lens, kind, size, angle), a, native) / _FINE for a in turns]
    return np.resize(np.array(found), len(ANGLES))


def added(kind: str, size: float, angle: float) -> F:
    """10–90 % rise of a blur alone, px, along each of `ANGLES`.

    By the closed forms of `mocks.blur` for the kind, of the kernel's variance: rendering a blur
    widens it by the samples it falls on, and slight ones by much.
    """
    k = blur_kernel(kind, size, angle)
    row, column = (np.indices(k.shape) - len(k) // 2) / _FINE
    found = []
    for a in np.deg2rad(ANGLES):
        along = column * np.cos(a) - row * np.sin(a)
        variance = float((k * along**2).sum() - (k * along).sum() ** 2)
        found.append(RISE[kind] * np.sqrt(variance))
    return np.array(found)


@lru_cache(maxsize=8)
def imaged(scene: Scene, made: Made) -> F:
    """Light on the pixels of a frame, less the rim that a shift may leave empty."""
    seen = blur(scene.light, kernel(made.lens, made.kind, made.size, made.angle))
    if made.shift != (0.0, 0.0) or made.turned or made.scaled != 1:
        a = np.deg2rad(made.turned)
        turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]]) / made.scaled
        middle = (np.array(seen.shape) - 1) / 2
        offset = middle - turn @ (middle + _FINE * np.array(made.shift[::-1]))
        seen = ndimage.affine_transform(seen, turn, offset, order=5, mode="mirror")
    h, w = (n // _FINE for n in seen.shape)
    pixels = seen[: h * _FINE, : w * _FINE].reshape(h, _FINE, w, _FINE).mean((1, 3))
    return np.asarray(pixels[_AWAY:-_AWAY, _AWAY:-_AWAY])


def recorded(light: F, how: Light, rng: np.random.Generator) -> U8:
    """Record a frame's light."""
    y, x = np.indices(light.shape) / np.array(light.shape)[:, None, None] - 0.5
    return expose(
        light * (1 + how.slope[0] * x + how.slope[1] * y),
        rng,
        gain=how.gain,
        veil=how.veil,
        noise=how.noise,
        grain=how.grain,
        quality=how.quality,
    )


def pair(
    scene: Scene, made: tuple[Made, Made], lights: tuple[Light, Light], rng: np.random.Generator
) -> Pair:
    """Take a frame and its reference; the area is all but the margin."""
    frame, reference = made
    taken = [recorded(imaged(scene, m), how, rng) for m, how in zip(made, lights, strict=True)]
    h, w = taken[0].shape
    sharper = frame.kind == "unchanged" and reference.kind != "unchanged"
    blurred = reference if sharper else frame
    return Pair(
        taken[0],
        taken[1],
        Rect(MARGIN, MARGIN, w - 2 * MARGIN, h - 2 * MARGIN),
        blurred.kind,
        widths(frame.lens, frame.kind, frame.size, frame.angle),
        widths(reference.lens, reference.kind, reference.size, reference.angle),
        added(blurred.kind, blurred.size, blurred.angle) * (-1 if sharper else 1),
        (frame.shift[0] - reference.shift[0], frame.shift[1] - reference.shift[1]),
        lights,
        scene.photograph,
    )


def any_light(rng: np.random.Generator) -> Light:
    """Light at random: to three stops under, a quarter of flare, three noises, JPEG 85 to 98."""
    return Light(
        gain=float(np.exp(rng.uniform(np.log(0.125), 0))),
        veil=float(rng.uniform(0, 0.25)),
        slope=(float(rng.uniform(-0.3, 0.3)), float(rng.uniform(-0.3, 0.3))),
        noise=float(rng.choice(NOISES)),
        grain=bool(rng.random() < 0.5),
        quality=int(rng.integers(85, 99)),
    )


def moved(made: Made, rng: np.random.Generator) -> Made:
    """Stand elsewhere: shifted by up to `FARTHEST` px, turned and scaled by up to 0.2 %."""
    away, to = rng.uniform(0, FARTHEST), rng.uniform(0, 2 * np.pi)
    return replace(
        made,
        shift=(float(away * np.cos(to)), float(away * np.sin(to))),
        turned=float(np.rad2deg(rng.uniform(-0.002, 0.002))),
        scaled=float(1 + rng.uniform(-0.002, 0.002)),
    )


def pieces(scene: Scene, side: int, most: int, rng: np.random.Generator) -> list[Scene]:
    """Parts of a scene, up to `most`, that hold detail; areas of `side` px where it has them."""
    light = scene.light
    wanted = min(_FINE * (side + 2 * MARGIN + 2 * _AWAY), *light.shape)
    wanted -= wanted % _FINE
    found: list[tuple[float, int, int]] = []
    for _ in range(40):
        y = int(rng.integers(0, light.shape[0] - wanted + 1))
        x = int(rng.integers(0, light.shape[1] - wanted + 1))
        rim = wanted // 4
        middle = light[y + rim : y + wanted - rim : _FINE, x + rim : x + wanted - rim : _FINE]
        coded: NDArray[np.float64] = np.sqrt(middle)
        found.append((float(np.percentile(np.abs(np.diff(coded, axis=1)), 99)), y, x))
    kept: list[tuple[int, int]] = []
    for _, y, x in sorted(found, reverse=True):
        if len(kept) < most and all(abs(y - b) + abs(x - a) >= wanted / 4 for b, a in kept):
            kept.append((y, x))
    return [Scene(light[y : y + wanted, x : x + wanted], scene.photograph) for y, x in kept]
