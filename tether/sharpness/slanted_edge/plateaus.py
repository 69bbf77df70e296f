"""The even light on either side of the edge."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.slanted_edge.certainty import standard_error
from tether.sharpness.slanted_edge.line import Line
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

Floats = NDArray[np.float64]

_NEAREST = 12.0  # px from the edge
_PER_RISE = 4.0
_LEAST_PER_RISE = 1.6  # a Gaussian's step is within 2e-5 of its plateau there
_LEAST = 5.0
_OF_ROOM = 0.65
_OUTWARD = 4.0  # times the nearest: how far light is taken to change evenly
_LOWEST_RATIO = 5.0  # contrast over noise; below, lines no longer agree on where the edge is


@dataclass(frozen=True, slots=True)
class Plateaus:
    """Light of the two plateaus as planes: level at the edge's middle, slopes across and along.

    `left` and `right` are three terms each; `noise` is the standard deviation of a pixel about
    them and `height_error` the relative standard error of the step's height.
    """

    left: tuple[float, float, float]
    right: tuple[float, float, float]
    noise: float
    height_error: float

    @property
    def height(self) -> float:
        """Height of the step, right less left, at the edge's middle."""
        return self.right[0] - self.left[0]

    def normalised(self, light: Floats, line: Line) -> Floats:
        """Light as a share of the step: 0 on the left plateau, 1 on the right one."""
        across, along = line.distances(), line.places()
        left, right = (a + b * across + c * along for a, b, c in (self.left, self.right))
        return np.asarray((light - left) / (right - left))


def beside(line: Line) -> float:
    """How far from the edge there are pixels on both sides, px: nine in ten of the nearer side.

    Raises
    ------
    UnfitEdge
        If that leaves no room for a plateau.
    """
    distance = line.distances()
    sides = [side[side > 0] for side in (distance, -distance)]
    least = min(float(np.quantile(side, 0.9)) if side.size else 0.0 for side in sides)
    if least * _OF_ROOM < _LEAST:
        raise UnfitEdge(
            Unfit.TOO_SMALL,
            f"the area shows only {least:.0f} px on one side of the edge; "
            f"{_LEAST / _OF_ROOM:.0f} are needed, better 30",
        )
    return least


def begin_of_plateaus(rise: float, room: float) -> float:
    """Distance from the edge at which a plateau begins, px.

    Raises
    ------
    UnfitEdge
        If the blur leaves no plateau within the `room` there is beside it.
    """
    begin = min(max(_NEAREST, _PER_RISE * rise), _OF_ROOM * room)
    if begin < _LEAST_PER_RISE * rise:
        needed = _LEAST_PER_RISE * rise / _OF_ROOM
        raise UnfitEdge(
            Unfit.TOO_SMALL,
            f"no single edge, or one too blurred for this area: light rises over {rise:.0f} px, "
            f"which needs {needed:.0f} px on either side where there are {room:.0f}",
        )
    return begin


def fit_plateaus(light: Floats, line: Line, begin: float, diffraction_px: float) -> Plateaus:
    """Fit a plane to either plateau.

    Parameters
    ----------
    light
        Shape (rows, columns).
    line
        The edge.
    begin
        Where the plateaus begin, px from the edge.
    diffraction_px
        λN over the pixel pitch. Diffraction takes 2λN/(π³d) of the step's height off the
        plateaus at a distance d: the Fourier transform of the kink that its response has at 0,
        where it falls by 4λN/π per cycle.

    Raises
    ------
    UnfitEdge
        If the contrast is too low for the noise.
    """
    used = within(line, begin)
    across, along = line.distances()[used], line.places()[used]
    tail = 2 * diffraction_px / math.pi**3 / np.abs(across)
    share = np.where(across > 0, 1 - tail, tail)
    plane = np.stack([np.ones_like(across), across, along], axis=-1)
    design = np.concatenate([plane * (1 - share)[:, None], plane * share[:, None]], axis=1)
    square = design.T @ design
    terms = np.linalg.solve(square, design.T @ light[used])
    residual = light[used] - design @ terms
    noise = math.sqrt(float(residual @ residual) / (len(residual) - len(terms)))
    left, right = (tuple(float(t) for t in terms[i : i + 3]) for i in (0, 3))
    height = right[0] - left[0]
    if abs(height) < max(_LOWEST_RATIO * noise, 1e-9 * float(np.abs(light).max())):
        raise UnfitEdge(
            Unfit.LOW_CONTRAST,
            f"the step's contrast is {abs(height) / max(noise, 1e-30):.1f} times the noise of a "
            f"pixel; {_LOWEST_RATIO:.0f} times are needed, better 50",
        )
    difference = np.array([-1.0, 0, 0, 1, 0, 0])
    influence = design @ np.linalg.solve(square, difference)
    error = standard_error(influence, residual, np.nonzero(used)[0], len(terms))
    return Plateaus(
        (left[0], left[1], left[2]), (right[0], right[1], right[2]), noise, error / abs(height)
    )


def within(line: Line, begin: float) -> NDArray[np.bool_]:
    """Pixels of the plateaus, as far as light is taken to change evenly."""
    far = np.abs(line.distances())
    return np.asarray((far > begin) & (far < _OUTWARD * begin))
