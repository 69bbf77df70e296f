"""How sure an edge width is, and whether something moved."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.model import EdgeWidth, Motion
from tether.sharpness.direction import Swing, nearest, swing
from tether.sharpness.network import Calibration, by_direction
from tether.sharpness.spectra import DIRECTIONS
from tether.sharpness.traits import Traits

Floats = NDArray[np.float32]

LEAST_ERROR, MOST_ERROR = -3.5, 1.5
"""Bounds of ln of a standard error, which itself is of ln width."""

SEEN = (
    "ln widest px",
    "ln widest over narrowest",
    "ln error, widest",
    "ln error, narrowest",
    "ln mean error",
    "misfit of the swing",
)
"""What the second stage is told beside the traits."""


@dataclass(frozen=True, slots=True)
class Judged:
    """Widest and narrowest edge width with their 95 % intervals, px, and the chance of a movement.

    `angle_deg` is the direction of the widest. `directions` holds what the first stage says of
    every direction: ln of the width in px and of both ends of its interval, by the points of its
    surest direction; shape (3, `DIRECTIONS`).
    """

    widest: EdgeWidth
    narrowest: EdgeWidth
    moved: float
    angle_deg: float
    directions: NDArray[np.float64]

    @property
    def motion(self) -> Motion | None:
        """The movement, where it is likelier than not."""
        if self.moved < 0.5 or self.widest.px <= self.narrowest.px:
            return None
        return Motion(self.angle_deg, self.widest.px / self.narrowest.px)


def seen(shown: Traits, told: Swing, errors: NDArray[np.float64]) -> Floats:
    """Inputs of the second stage: `SEEN`, then the traits along, across and overall."""
    first = [
        told.wide,
        told.wide - told.narrow,
        *np.log(told.errors),
        math.log(float(errors.mean())),
        told.misfit,
    ]
    along = nearest(told.angle)
    across = nearest(told.angle + math.pi / 2)
    rows = [first, shown.directional[along], shown.directional[across], shown.overall]
    return np.concatenate(rows).astype(np.float32)


def first_stage(answers: Floats) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean ln width and its error in every direction, from each network's answer.

    Where the networks disagree the pictures of the calibration do not settle the matter:
    that adds to the error.

    Parameters
    ----------
    answers
        ln width and ln of its error, shape (networks, directions, 2).
    """
    widths = answers[:, :, 0].astype(np.float64)
    errors = np.exp(np.clip(answers[:, :, 1].astype(np.float64), LEAST_ERROR, MOST_ERROR))
    return widths.mean(0), np.sqrt((errors**2).mean(0) + widths.var(0))


def judged(shown: Traits, how: Calibration, one_way: bool = False) -> Judged:
    """Tell widest and narrowest edge width, with intervals, and movement from what is shown.

    Parameters
    ----------
    shown
        What the area shows.
    how
        The calibration.
    one_way
        That edges run in one direction or few. Then the width is that across them, for the widest
        and the narrowest alike, and nothing is said of a movement.
    """
    widths, errors = first_stage(how.widths(by_direction(shown)))
    directions = np.stack([widths + by * errors for by in (0.0, *how.points[2])])
    if one_way:
        across = int(np.argmin(errors))
        width = EdgeWidth(*np.exp(directions[:, across]).tolist())
        return Judged(width, width, 0.0, across * 180 / DIRECTIONS, directions)
    told = swing(widths, errors)
    answers = how.errors(seen(shown, told, errors)[None])[:, 0].astype(np.float64)
    bias, spread = answers[:, (0, 2)], np.clip(answers[:, (1, 3)], LEAST_ERROR, MOST_ERROR)
    error = np.sqrt(np.exp(2 * spread).mean(0) + bias.var(0))
    centre = np.array([told.wide, told.narrow]) + bias.mean(0)
    if centre[1] > centre[0]:
        centre[:] = centre.mean()
    widest, narrowest = (
        _with_interval(float(c), float(e), points)
        for c, e, points in zip(centre, error, how.points[:2], strict=True)
    )
    moved = 1 / (1 + math.exp(-float(np.clip(answers[:, 4].mean(), -30, 30))))
    return Judged(widest, narrowest, moved, math.degrees(told.angle) % 180, directions)


def _with_interval(log_width: float, error: float, points: NDArray[np.float64]) -> EdgeWidth:
    low, high = points
    return EdgeWidth(*(math.exp(log_width + by * error) for by in (0.0, low, high)))
