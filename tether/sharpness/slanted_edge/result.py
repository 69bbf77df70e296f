"""What a slanted edge says."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_NORMAL_95 = 1.959964  # 97.5 % point of the standard normal distribution


class Frequency(StrEnum):
    """Units of a spatial frequency."""

    CYCLES_PX = "cycles/px"
    LP_MM = "LP/mm"
    LW_PH = "LW/PH"


@dataclass(frozen=True, slots=True, eq=False)
class SlantedEdge:
    """The spatial frequency response across one edge.

    `angle_deg` is the direction of the edge's line, in degrees counter-clockwise from the image's
    +x (right), in [0, 180): 90 for an upright edge. The response is that along its normal.

    `frequencies` (cycles/px) and `response` have one shape, the frequencies even from 0 to 1; the
    response at 0 is 1 by definition. `mtf50` is the lowest frequency at which the response falls
    to a half, cycles/px. `rise_10_90_px` is the distance between 10 % and 90 % of the step.

    `mtf50_error` is the standard error of `mtf50` as told from the noise, with 0.2 % for the
    method and what the caller gave for the file's coding. Half a step of the coded values, by which
    either plateau may lie off where there is no noise to level it, is not in it.

    `contrast` is the height of the step and `noise` the standard deviation of a pixel about the
    plateaus, both in the light that was given. The pixel's own area is part of what is measured.
    """

    angle_deg: float
    frequencies: Floats
    response: Floats
    mtf50: float
    mtf50_error: float
    rise_10_90_px: float
    contrast: float
    noise: float
    pixel_pitch_um: float | None = None
    picture_height_px: int | None = None

    @property
    def mtf50_95(self) -> tuple[float, float]:
        """The 95 % interval of `mtf50`, cycles/px."""
        half = _NORMAL_95 * self.mtf50_error
        return max(self.mtf50 - half, 0.0), self.mtf50 + half

    def in_unit(self, cycles_px: float, unit: Frequency) -> float:
        """Turn a frequency in cycles/px into another unit.

        ν/p LP/mm for a pixel pitch of p mm; 2νH LW/PH for a picture H px high, since a line pair
        is two lines (ISO 12233).

        Raises
        ------
        ValueError
            If the pixel pitch, or the picture's height, was not given.
        """
        return cycles_px * self._per_cycle_px(unit)

    def response_at(self, frequency: float, unit: Frequency = Frequency.CYCLES_PX) -> float:
        """Response at a frequency.

        Parameters
        ----------
        frequency
            In `unit`, from 0 to what is 1 cycle/px.
        unit
            The unit it is in.

        Raises
        ------
        ValueError
            If the frequency is outside that range, or its unit needs a pixel pitch or a
            picture's height that was not given.
        """
        cycles_px = frequency / self._per_cycle_px(unit)
        if not 0 <= cycles_px <= self.frequencies[-1]:
            most = self.in_unit(float(self.frequencies[-1]), unit)
            raise ValueError(f"frequency must be from 0 to {most:g} {unit}, not {frequency:g}")
        return float(np.interp(cycles_px, self.frequencies, self.response))

    def _per_cycle_px(self, unit: Frequency) -> float:
        if unit is Frequency.LP_MM:
            if self.pixel_pitch_um is None:
                raise ValueError("LP/mm needs the pixel pitch")
            return 1000 / self.pixel_pitch_um
        if unit is Frequency.LW_PH:
            if self.picture_height_px is None:
                raise ValueError("LW/PH needs the picture's height")
            return 2.0 * self.picture_height_px
        return 1.0
