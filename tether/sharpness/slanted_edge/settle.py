"""One edge found: its line, its plateaus and its spread, each sized by the others."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.slanted_edge.coarse import first_rise
from tether.sharpness.slanted_edge.evenness import several
from tether.sharpness.slanted_edge.line import Line, first_line, fit_line
from tether.sharpness.slanted_edge.plateaus import (
    Plateaus,
    begin_of_plateaus,
    beside,
    fit_plateaus,
)
from tether.sharpness.slanted_edge.spread import STEP, Spread, fit_spread, half_length
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

Floats = NDArray[np.float64]

_ROUNDS = 6
_SETTLED = 0.05  # relative change of the rise
_WINDOW = 6.0  # px from the edge, at least
_WINDOW_PER_RISE = 3.0
_WIDEST_GAP = 0.5  # px; the pixel's own response has its first zero at 1 cycle/px
_PER_PX = round(1 / STEP)
_OVERSHOOT = 0.5  # of the step; sharpening in the camera stays well below


class Found(NamedTuple):
    """An edge: where it runs, the plateaus beside it, and what lies between.

    `begin` is where the plateaus begin and `reach` where the window ends, both px from the edge;
    `row` is the row of every pixel of the spread; `rise` is the 10–90 % rise, px.
    """

    line: Line
    begin: float
    plateaus: Plateaus
    reach: float
    spread: Spread
    row: NDArray[np.intp]
    rise: float


def settled(light: Floats, diffraction_px: float) -> Found:
    """Find line, plateaus and spread, over again until the rise that sizes them is the one found.

    Parameters
    ----------
    light
        Shape (rows, columns), with an edge nearer to upright than to level.
    diffraction_px
        λN over the pixel pitch.

    Raises
    ------
    UnfitEdge
        If there is not one edge that can be measured.
    """
    line = first_line(light)
    rise = first_rise(light, line)
    for _ in range(_ROUNDS):
        begin_of_plateaus(rise, beside(line))
        line = fit_line(light, line, rise)
        room = beside(line)
        begin = begin_of_plateaus(rise, room)
        plateaus = fit_plateaus(light, line, begin, diffraction_px)
        window = min(max(_WINDOW, _WINDOW_PER_RISE * rise), room)
        spread, row = _spread(plateaus.normalised(light, line), line, window)
        last, rise = rise, _rise(spread)
        if abs(rise - last) < _SETTLED * rise:
            break
    return Found(line, begin, plateaus, window, spread, row, rise)


def _spread(normalised: Floats, line: Line, window: float) -> tuple[Spread, NDArray[np.intp]]:
    rows = line.whole_cycles()
    distance = line.distances()[rows]
    used = np.abs(distance) < half_length(window)
    _check_phases(distance[used], line)
    return fit_spread(distance[used], normalised[rows][used], window), np.nonzero(used)[0]


def _check_phases(distance: Floats, line: Line) -> None:
    """Refuse an edge that pixels meet at few phases: the step between them would be guessed."""
    near = np.sort(distance[np.abs(distance) < 2])
    gap = float(np.diff(near, prepend=-2, append=2).max())
    if gap > _WIDEST_GAP:
        tilt = math.degrees(math.atan(abs(line.slope)))
        raise UnfitEdge(
            Unfit.ANGLE,
            f"tilted by {tilt:.1f} degrees, the edge meets the pixels at few phases, up to "
            f"{gap:.2f} px apart where {_WIDEST_GAP:g} are allowed; tilt it by about 5 degrees",
        )


def _rise(spread: Spread) -> float:
    """Distance between 10 % and 90 % of the step, px: the crossings next to its middle."""
    x = np.linspace(spread.x[0], spread.x[-1], 20 * len(spread.x))
    e = spread.at(x)
    # Over a pixel, lest noise does it.
    smooth = np.convolve(spread.e, np.full(_PER_PX, 1 / _PER_PX), "valid")
    if smooth.max() > 1 + _OVERSHOOT or smooth.min() < -_OVERSHOOT:
        raise several("light swings far beyond its plateaus")
    middle = int(np.argmin(np.abs(e - 0.5) + np.abs(x) / (2 * x[-1])))
    up, down = np.flatnonzero(e[middle:] >= 0.9), np.flatnonzero(e[middle::-1] <= 0.1)
    if len(up) == 0 or len(down) == 0:
        return float(x[-1] - x[0])
    return float(_crossing(x, e, middle + up[0], 0.9) - _crossing(x, e, middle - down[0] + 1, 0.1))


def _crossing(x: Floats, e: Floats, after: int, level: float) -> float:
    before = after - 1
    return float(x[before] + (level - e[before]) / (e[after] - e[before]) * (x[after] - x[before]))
