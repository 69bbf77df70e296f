"""A first look at the area: whether there is one edge, and about how wide it is."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.slanted_edge.evenness import several
from tether.sharpness.slanted_edge.line import Line
from tether.sharpness.slanted_edge.plateaus import beside
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

Floats = NDArray[np.float64]

_ENDS = 0.2  # of the profile: its plateaus, as far as a first look tells
_FEWEST = 8  # px at one distance
_STRIDE = 4  # px over which a slope is taken, against noise
_INNER = 1.9  # 10–90 % over 25–75 % of a Gaussian's step
_STAIRS = 2.0
_CLEAR = 2.0  # times the noise of a pixel


def first_rise(light: Floats, line: Line) -> float:
    """10–90 % rise of the mean profile, px.

    Parameters
    ----------
    light
        Shape (rows, columns).
    line
        The edge.

    Raises
    ------
    UnfitEdge
        If the profile shows no step, or comes back from it.
    """
    profile, noise = _profile(light, line)
    end = max(round(_ENDS * len(profile)), 1)
    first, last = np.median(profile[:end]), np.median(profile[-end:])
    swing = float(np.ptp(profile))
    if swing <= max(_CLEAR * noise, 1e-9 * float(np.abs(light).max())):
        raise UnfitEdge(Unfit.NO_EDGE, "the area shows no edge that stands out from its noise")
    beside(line)  # Too near to the area's border, an edge looks like a line.
    if abs(last - first) < swing / 2:
        raise several("light comes back beyond it")
    share = (profile - first) / (last - first)
    middle = int(np.argmin(np.abs(share - 0.5)))
    # The inner half of the step, for light that falls off bends the plateaus.
    up = np.flatnonzero(share[middle:] >= 0.75)
    down = np.flatnonzero(share[middle::-1] <= 0.25)
    rise = _INNER * float((up[0] if len(up) else end) + (down[0] if len(down) else end))
    # A single blurred step rises over 0.8 to 1.2 times its height by its steepest slope.
    steepest = float(np.abs(share[_STRIDE:] - share[:-_STRIDE]).max()) / _STRIDE
    if rise * steepest > _STAIRS:
        raise several("light rises in more than one step")
    return rise


def _profile(light: Floats, line: Line) -> tuple[Floats, float]:
    """Mean light at every whole distance, and the noise of a pixel."""
    at = np.rint(line.distances()).astype(int)
    at -= at.min()
    count = np.bincount(at.ravel())
    full = count >= _FEWEST
    if np.count_nonzero(full) < _FEWEST:
        raise UnfitEdge(Unfit.TOO_SMALL, "the area is too small to show an edge and its plateaus")
    mean = np.bincount(at.ravel(), light.ravel()) / np.maximum(count, 1)
    square = np.bincount(at.ravel(), ((light - mean[at]) ** 2).ravel()) / np.maximum(count, 1)
    return mean[full], float(np.sqrt(np.median(square[full])))
