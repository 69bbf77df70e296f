"""Whether the plateaus are fit to be measured from: neither clipped nor holding something else."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.slanted_edge.line import Line
from tether.sharpness.slanted_edge.plateaus import within
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

Floats = NDArray[np.float64]

_MOST_CLIPPED = 0.01
_MOST_UNEVEN = 0.1  # of the contrast
_CELL = 8  # px
_NOISE_POINT = 5.0  # standard deviations of a cell's mean


def check_clipping(light: Floats, line: Line, begin: float, scale: tuple[float, float]) -> None:
    """Refuse plateaus of which more than 1 % is at either end of the scale.

    Raises
    ------
    UnfitEdge
        With the end at which they are.
    """
    used = light[within(line, begin)]
    for name, clipped in (("black", used <= scale[0]), ("white", used >= scale[1])):
        share = float(clipped.mean())
        if share > _MOST_CLIPPED:
            raise UnfitEdge(
                Unfit.CLIPPED,
                f"{share:.0%} of the plateaus are clipped to {name} "
                f"(the scale runs from {scale[0]:g} to {scale[1]:g})",
            )


def check_evenness(normalised: Floats, line: Line, begin: float, noise: float) -> None:
    """Refuse plateaus that hold something else.

    Parameters
    ----------
    normalised
        Light as a share of the step, shape (rows, columns).
    line
        The edge.
    begin
        Where the plateaus begin, px from the edge.
    noise
        Standard deviation of a pixel's noise as a share of the step.

    Raises
    ------
    UnfitEdge
        If the mean of some 8 x 8 px lies off its plateau by 10 % of the step, and by more than
        noise explains.
    """
    used = within(line, begin)
    off = np.where(used, normalised - (line.distances() > 0), 0)
    rows, columns = (n // _CELL for n in off.shape)

    def cells(values: NDArray[np.float64] | NDArray[np.bool_]) -> Floats:
        whole = values[: rows * _CELL, : columns * _CELL].astype(np.float64)
        return np.asarray(whole.reshape(rows, _CELL, columns, _CELL).sum((1, 3)))

    count = cells(used)
    full = count >= _CELL**2 / 2
    mean = np.abs(cells(off)[full]) / count[full]
    most = np.maximum(_MOST_UNEVEN, _NOISE_POINT * noise / np.sqrt(count[full]))
    if np.any(mean > most):
        raise several(f"light beside it differs by {mean.max():.0%} of its contrast")


def several(what: str) -> UnfitEdge:
    """The refusal of an area that holds more than one edge."""
    return UnfitEdge(
        Unfit.SEVERAL_EDGES,
        f"the area holds more than one edge: {what}; choose one edge with even ground beside it",
    )
