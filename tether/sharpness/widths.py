"""The widths of an area's edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.edges import EdgePoints
from tether.sharpness.octaves import Octave
from tether.sharpness.profiles import pace, profiles
from tether.sharpness.steps import fit_steps

Floats = NDArray[np.float32]

RISE = 2.5631031310892007
"""10–90 % rise of a Gaussian blur over its standard deviation: 2 x the normal quantile of 0.9."""


@dataclass(frozen=True, slots=True)
class Widths:
    """Edges that a step fits.

    `px` is the 10–90 % rise across the edge in px of the file, `height` the root mean square of
    its light about the mean, `normal` its direction, rad; `x`, `y` its place in px of the file.
    All of shape (edges,).
    """

    px: Floats
    height: Floats
    normal: Floats
    x: Floats
    y: Floats

    @classmethod
    def joined(cls, parts: Sequence[Widths]) -> Widths:
        """Put edges of several octaves together."""
        names = ("px", "height", "normal", "x", "y")
        return cls(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def widths(octave: Octave, points: EdgePoints) -> Widths:
    """Measure the light across every edge point.

    Parameters
    ----------
    octave
        The area at one size.
    points
        Edge points of that octave.

    Returns
    -------
    Widths
        Those that a step fits, freed from the averaging of halved pictures (variances add).
    """
    steps = fit_steps(*profiles(octave, points))
    scale = octave.scale
    square = (scale * steps.rise * pace(points)[steps.profile]) ** 2
    square -= np.float32(RISE**2 * (scale**2 - 1) / 12)
    # Narrower than this the halving, not the blur, made the width: a finer octave tells better.
    wide = square > (RISE * scale) ** 2 if scale > 1 else square > 0
    kept = steps.profile[wide]
    return Widths(
        np.sqrt(square[wide]),
        steps.height[wide],
        points.normal[kept],
        (points.x[kept] * scale).astype(np.float32),
        (points.y[kept] * scale).astype(np.float32),
    )
