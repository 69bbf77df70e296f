"""Where the edge runs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

Floats = NDArray[np.float64]

_SMOOTHING = 2.0  # px; gradients only find the edge, they do not measure it
_BORDER = 6  # px at which the smoothing sees beyond the area
_STEEP = 0.5  # of the steepest gradient
_WINDOW = 8.0  # px on either side of the edge, at least
_WINDOW_PER_RISE = 1.5
_ROUNDS = 5
FEWEST_LINES = 12


@dataclass(frozen=True, slots=True)
class Line:
    """An edge nearer to upright than to level: column = offset + slope·row + bow·row².

    Row and column count from the middle of an area of `shape`, px.
    """

    offset: float
    slope: float
    bow: float
    shape: tuple[int, int]

    def columns(self) -> Floats:
        """Column of the edge in every row, shape (rows,)."""
        row = middled(self.shape[0])
        return self.offset + self.slope * row + self.bow * row**2

    def distances(self) -> Floats:
        """Distance of every pixel from the edge, px, positive to its right; of `shape`.

        Along rows, times the cosine of the edge's tilt.
        """
        along_rows = middled(self.shape[1])[None, :] - self.columns()[:, None]
        return np.asarray(along_rows / math.hypot(1, self.slope))

    def places(self) -> Floats:
        """Place of every pixel along the edge, px from the middle; of `shape`."""
        row, column = middled(self.shape[0])[:, None], middled(self.shape[1])[None, :]
        return np.asarray((row + self.slope * column) / math.hypot(1, self.slope))

    def whole_cycles(self) -> slice:
        """Rows, from the middle out, over which the edge crosses a whole number of columns.

        Every phase of the pixels then counts alike.

        Raises
        ------
        UnfitEdge
            If it crosses not even one.
        """
        rows = self.shape[0]
        cycles = math.floor(rows * abs(self.slope))
        if cycles < 1:
            tilt = math.degrees(math.atan(abs(self.slope)))
            raise UnfitEdge(
                Unfit.ANGLE,
                f"the edge is tilted by {tilt:.1f} degrees and crosses no whole pixel in {rows} "
                "lines; tilt it by about 5 degrees or take a longer area",
            )
        kept = min(round(cycles / abs(self.slope)), rows)
        first = (rows - kept) // 2
        return slice(first, first + kept)


def middled(count: int) -> Floats:
    """Positions of `count` pixels, px from their middle."""
    return np.asarray(np.arange(count) - (count - 1) / 2, np.float64)


def gradients(light: Floats) -> tuple[Floats, Floats]:
    """Smoothed gradient to the right and downwards; 0 near the area's borders."""
    inside = np.zeros(light.shape, bool)
    inside[_BORDER:-_BORDER, _BORDER:-_BORDER] = True
    right, down = (
        np.where(inside, ndimage.gaussian_filter(light, _SMOOTHING, order=order), 0)
        for order in ((0, 1), (1, 0))
    )
    return right, down


def is_level(light: Floats) -> bool:
    """Whether the strongest edge is nearer to level than to upright.

    Raises
    ------
    UnfitEdge
        If there is no edge at all.
    """
    right, down = gradients(light)
    square = right**2 + down**2
    # Rounding leaves gradients on even ground.
    if square.max() <= (1e-9 * np.abs(light).max()) ** 2:
        raise UnfitEdge(Unfit.NO_EDGE, "the area is even; it shows no edge")
    steep = square >= _STEEP**2 * square.max()
    return bool((down[steep] ** 2).sum() > (right[steep] ** 2).sum())


def first_line(light: Floats) -> Line:
    """Edge by the direction of its steepest gradients, through the most of them."""
    right, down = gradients(light)
    square = right**2 + down**2
    steep = square >= _STEEP**2 * square.max()
    r, d = right[steep], down[steep]
    normal = 0.5 * math.atan2(2 * (r * d).sum(), (r**2 - d**2).sum())
    slope = -math.tan(min(max(normal, -math.pi / 4), math.pi / 4))
    through_middle = Line(0.0, slope, 0.0, (light.shape[0], light.shape[1]))
    bins = np.rint(through_middle.distances()[steep]).astype(int)
    counted = np.bincount(bins - bins.min(), square[steep])
    distance = float(np.argmax(counted) + bins.min())
    return Line(distance * math.hypot(1, slope), slope, 0.0, through_middle.shape)


def fit_line(light: Floats, line: Line, rise: float) -> Line:
    """Fit a line to the centroids of the derivative of every row.

    Parameters
    ----------
    light
        Shape (rows, columns).
    line
        The edge as known so far.
    rise
        Its 10–90 % rise, px, which says how wide to look.

    Raises
    ------
    UnfitEdge
        If too few rows hold the edge with what is beside it.
    """
    rows, columns = light.shape
    row, column = middled(rows), middled(columns)[1:-1]
    slopes = (light[:, 2:] - light[:, :-2]) / 2
    for degree in [1] * (_ROUNDS - 1) + [2]:
        middle = line.columns()
        # Half of the window; it grows by the tilt, for distances are along rows here.
        half = max(_WINDOW, _WINDOW_PER_RISE * rise) * math.hypot(1, line.slope)
        used = (middle - half >= column[0]) & (middle + half <= column[-1])
        if np.count_nonzero(used) < FEWEST_LINES:
            raise UnfitEdge(
                Unfit.TOO_SMALL,
                f"only {np.count_nonzero(used)} lines hold the edge and {half:.0f} px on either "
                "side of it; take a larger area, with the edge through its middle",
            )
        offset = column[None, :] - middle[used, None]
        window = np.where(np.abs(offset) < half, 0.54 + 0.46 * np.cos(np.pi * offset / half), 0)
        weighted = window * slopes[used]
        height = weighted.sum(1)
        centroid = middle[used] + (weighted * offset).sum(1) / np.where(height == 0, 1, height)
        # Lines whose step is drowned by noise say nothing, and divide by almost nothing.
        kept = height * np.sign(np.median(height)) > 0.5 * np.abs(np.median(height))
        if np.count_nonzero(kept) < FEWEST_LINES:
            raise UnfitEdge(Unfit.NO_EDGE, "the lines of the area do not agree on an edge")
        terms = np.polynomial.polynomial.polyfit(row[used][kept], centroid[kept], degree)
        line = Line(float(terms[0]), float(terms[1]), float(np.r_[terms, 0.0][2]), line.shape)
    return line
