"""Cross-spectra of two frames by cell of band and direction, and what each cell says by itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Doubles = NDArray[np.float64]

_MODEL_NOISE = 0.003  # of power: windows, folded detail and JPEG are in no noise level
_CELL_ERROR = 0.02  # of ln of a cell's response, however many modes it has
_OVERLAP = 0.5  # of their modes, that tiles of half overlap count for
_FLAT = 0.02  # rad from either axis, where a cell says nothing of a ratio


@dataclass(frozen=True, slots=True)
class Cells:
    """What two frames' spectra hold by cell.

    `frame`, `reference` are mean squares of a mode, `both` the mean product, `weight` the number
    of modes, `w` the frequency, rad/px, `turn` the wave's direction, rad. `frame_noise`,
    `reference_noise` are mean squares of the noise. All of shape (cells,), or broadcast to it.
    """

    frame: Doubles
    reference: Doubles
    both: Doubles
    weight: Doubles
    w: Doubles
    turn: Doubles
    frame_noise: Doubles
    reference_noise: Doubles

    @property
    def axes(self) -> Doubles:
        """1, cos 2t and sin 2t of the directions, shape (cells, 3)."""
        double = 2 * self.turn
        return np.stack([np.ones_like(double), np.cos(double), np.sin(double)], 1)


@dataclass(frozen=True, slots=True)
class Scaled:
    """Cells scaled to unit noise: [[mean + half, both], [both, mean - half]].

    `tilt` is what scaling adds to ln of frame over reference, `weight` the modes that count once
    no cell is trusted beyond reason, `slope` ln of frame over reference as each cell has it, and
    `told` the inverse variance of that. `units` are the noises' standard deviations.
    """

    mean: Doubles
    half: Doubles
    both: Doubles
    tilt: Doubles
    weight: Doubles
    slope: Doubles
    told: Doubles
    units: tuple[Doubles, Doubles]

    def towards(self, frame: Doubles, reference: Doubles) -> tuple[Doubles, Doubles, Doubles]:
        """Power along a direction, and how it bends: q, -q''/4 and q'/2 by the angle."""
        size = frame**2 + reference**2
        cosine, sine = (frame**2 - reference**2) / size, 2 * frame * reference / size
        ahead = self.half * cosine + self.both * sine
        return self.mean + ahead, ahead, self.both * cosine - self.half * sine


def scaled(cells: Cells, doubt: float) -> Scaled:
    """Scale cells to unit noise, the noise taken `doubt` times as strong as told."""
    f2 = doubt * cells.frame_noise + _MODEL_NOISE * cells.frame + 1e-30
    r2 = doubt * cells.reference_noise + _MODEL_NOISE * cells.reference + 1e-30
    units = np.sqrt(f2), np.sqrt(r2)
    a, b, both = cells.frame / f2, cells.reference / r2, cells.both / (units[0] * units[1])
    mean, half = (a + b) / 2, (a - b) / 2
    lean = np.arctan2(both, half) / 2
    apart = np.hypot(half, both)
    weight = _OVERLAP * cells.weight
    told = weight * (1 - 1 / np.maximum(mean + apart, 1)) * both**2 / np.maximum(apart, 1e-30)
    told *= (lean > _FLAT) & (lean < np.pi / 2 - _FLAT)
    held = 1 / (1 + told * _CELL_ERROR**2)
    tilt = np.log(r2 / f2) / 2
    slope = -np.log(np.tan(np.clip(lean, _FLAT, np.pi / 2 - _FLAT))) - tilt
    return Scaled(mean, half, both, tilt, weight * held, slope, told * held, units)
