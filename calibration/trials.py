"""Areas with a blur that is known, as cameras would have recorded them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from calibration.blurs import blurred, disk, edge_widths, gauss, join, path
from calibration.camera import any_recording, record
from calibration.photographs import Content, contents
from calibration.scenes import scene
from tether.model import Rect
from tether.sharpness.cut import MARGIN
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import Traits, traits

F = NDArray[np.float64]
Rng = np.random.Generator

_SIDES, _OFTEN = (64, 80, 112, 160, 240), (0.15, 0.2, 0.3, 0.25, 0.1)
_AGAIN = 4  # trials of one rendered subject


@dataclass(frozen=True, slots=True)
class Trial:
    """One area: what it shows, and its true widths, px, in every direction.

    `subject` names the photograph or rendered subject; `kind` is one of `KINDS`.
    """

    shown: Traits
    widths: F
    kind: str
    subject: str
    photograph: bool


KINDS = ("lens", "defocus", "bell", "shake", "motion")
"""As sharp as the lens, a disk, a Gaussian, a bent movement, a straight one."""

_SHARES = (0.3, 0.25, 0.08, 0.22, 0.15)


def trials(folder: Path, of_photographs: int, of_scenes: int, rng: Rng) -> Iterator[Trial]:
    """Draw trials: photographs from a folder of fetched packages, then rendered subjects."""
    pictures = contents(folder)
    for _ in range(of_photographs):
        name = sorted(pictures)[int(rng.integers(len(pictures)))]
        content = pictures[name][int(rng.integers(len(pictures[name])))]
        yield _trial(content, _side(rng), name, True, rng)
    for number in range(of_scenes // _AGAIN):
        side = _side(rng)
        content = Content(scene(side + 2 * MARGIN, rng), 0.0)
        for _ in range(_AGAIN):
            yield _trial(content, side, f"scene {number}", False, rng)


def _side(rng: Rng) -> int:
    return int(rng.choice(_SIDES, p=_OFTEN))


def _trial(content: Content, side: int, subject: str, photograph: bool, rng: Rng) -> Trial:
    kernel, kind = _blur(rng)
    how = any_recording(rng)
    pixels = record(blurred(_cut(content.light, side, rng), kernel), how, rng)
    rows, columns = pixels.shape
    margin = max(min(MARGIN, (min(rows, columns) - 64) // 2), 0)
    inner = Rect(margin, margin, columns - 2 * margin, rows - 2 * margin)
    widths = edge_widths(kernel, content.native, how.sharpened)
    return Trial(traits(pixels, inner, ToneCurve.SRGB), widths, kind, subject, photograph)


def _cut(light: F, side: int, rng: Rng) -> F:
    """A part of the light, mirrored and turned anyhow."""
    rows, columns = (min(n, side + 2 * MARGIN) for n in light.shape)
    top = int(rng.integers(light.shape[0] - rows + 1))
    left = int(rng.integers(light.shape[1] - columns + 1))
    part = light[top : top + rows, left : left + columns]
    if rng.random() < 0.5:
        part = part[::-1]
    if rng.random() < 0.5:
        part = part[:, ::-1]
    return np.ascontiguousarray(part.T if rng.random() < 0.5 else part)


def _blur(rng: Rng) -> tuple[F, str]:
    own = gauss(float(rng.choice([0.35, 0.5, 0.7, 0.9])))
    kind = str(rng.choice(KINDS, p=_SHARES))
    if kind == "lens":
        return own, kind
    if kind == "defocus":
        return join(disk(_between(1.5, 30, rng)), own), kind
    if kind == "bell":
        return join(gauss(_between(0.5, 9, rng)), own), kind
    bend = float(rng.uniform(-0.35, 0.35)) if kind == "shake" else 0.0
    moved = path(_between(2, 28, rng), float(rng.uniform(0, 180)), bend)
    if rng.random() < 0.25:
        moved = join(moved, disk(float(rng.uniform(1.5, 5))))
    return join(moved, own), kind


def _between(low: float, high: float, rng: Rng) -> float:
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))
