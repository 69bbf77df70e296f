"""Areas of photographs with a blur that is known, as cameras would have recorded them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.sharpness.pictures import blur, coded, disk, expose, gauss, join, path, rise

SIDE = 248
MARGIN = 24
_OWN = 0.45  # px, standard deviation of the blur that a reduced photograph keeps
_MOST = 5  # areas of one photograph

Light = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Trial:
    """One area, 8 bit, with margin; its true widths in px, and what was done to it.

    `photograph` is its number, `moved` whether it was blurred by a movement, at `angle` degrees.
    """

    pixels: NDArray[np.uint8]
    photograph: int
    widest: float
    narrowest: float
    moved: bool
    angle: float


def sharp_areas(light: Light) -> list[Light]:
    """Areas of a photograph whose finest detail is strong next to its coarser detail."""
    picture = coded(light).astype(np.float64)
    found = []
    for y in range(0, light.shape[0] - SIDE + 1, 40):
        for x in range(0, light.shape[1] - SIDE + 1, 40):
            area = picture[y + MARGIN : y + SIDE - MARGIN, x + MARGIN : x + SIDE - MARGIN]
            fine = np.percentile(np.abs(np.diff(area, axis=1)), 99.5)
            coarse = np.percentile(np.abs(area[:, 4:] - area[:, :-4]), 99.5)
            if coarse > 15 and fine / (coarse + 2) >= 0.45:
                found.append((fine / (coarse + 2), y, x))
    kept: list[tuple[int, int]] = []
    for _, y, x in sorted(found, reverse=True):
        if len(kept) < _MOST and all(abs(y - b) + abs(x - a) >= 120 for b, a in kept):
            kept.append((y, x))
    return [light[y : y + SIDE, x : x + SIDE] for y, x in kept]


def trial(light: Light, photograph: int, rng: np.random.Generator) -> Trial:
    """Blur an area by lens, defocus or movement, and record it: dark, veiled, noisy, as JPEG."""
    own = gauss(float(rng.choice([0.35, 0.5, 0.7])))
    kind, angles = rng.random(), [0.0]
    if kind < 0.3:
        kernel = own
    elif kind < 0.6:
        kernel = join(disk(rng.uniform(2, 13)), own)
    elif kind < 0.7:
        kernel = join(gauss(rng.uniform(0.6, 4.5)), own)
    else:
        angles = [float(a) for a in range(0, 180, 15)]
        kernel = join(path(rng.uniform(3, 14), rng.uniform(0, 180), rng.uniform(-0.3, 0.3)), own)
    widths = [rise(kernel, angle, _OWN) for angle in angles]
    pixels = expose(
        blur(light, kernel),
        rng,
        gain=float(np.exp(rng.uniform(np.log(0.15), 0))),
        veil=float(rng.uniform(0, 0.25)),
        noise=float(rng.choice([0.003, 0.01, 0.025])),
        grain=bool(rng.random() < 0.5),
        quality=int(rng.integers(85, 99)),
    )
    angle = angles[int(np.argmax(widths))]
    return Trial(pixels, photograph, max(widths), min(widths), len(angles) > 1, angle)
