"""The focus area, a whole number of dots a pixel, with the edges that were used drawn on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.report.ink import BLACK, ORANGE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tether.model import Rect
    from tether.sharpness.widths import Widths

PANEL = 800
"""Dots that the longer side is magnified up to."""

LARGEST = 1600
"""Pixels a side past which the middle of an area is shown alone."""

SHORTEST_MARK = 7.0
"""Dots: an edge narrower than this is drawn this long."""


def magnification(width: int, height: int) -> int:
    """Dots a pixel for an area of so many px."""
    return max(1, PANEL // max(width, height))


def shown_part(width: int, height: int) -> tuple[int, int, int, int]:
    """Left, top, width and height of what is shown of an area of so many px."""
    wide, high = min(width, LARGEST), min(height, LARGEST)
    return (width - wide) // 2, (height - high) // 2, wide, high


def magnified(area: NDArray[np.uint8] | NDArray[np.uint16], times: int) -> NDArray[np.uint8]:
    """Every pixel `times` wide and high, in 8 bit: nothing is interpolated."""
    eight = area if area.dtype == np.uint8 else (area >> 8).astype(np.uint8)
    return np.asarray(eight.repeat(times, 0).repeat(times, 1), np.uint8)


def marks(edges: Widths, times: int) -> NDArray[np.float64]:
    """Both ends of a mark across every edge, along its normal, as long as the edge is wide.

    Returns
    -------
    ndarray
        Shape (edges, 2, 2): two ends, x and y each, dots from the area's top left, y down.
    """
    middle = (np.stack([edges.x, edges.y], 1).astype(np.float64) + 0.5) * times
    half = np.maximum(edges.px.astype(np.float64) * times, SHORTEST_MARK)[:, None] / 2
    along = np.stack([np.cos(edges.normal), -np.sin(edges.normal)], 1)
    return np.stack([middle - half * along, middle + half * along], 1)


def draw(
    figure: Figure,
    area: NDArray[np.uint8] | NDArray[np.uint16],
    edges: Widths,
    place: Rect,
) -> None:
    """Put an area on a figure.

    Parameters
    ----------
    figure
        Whose size is a whole number of dots.
    area
        The part of the area that is shown, coded values.
    edges
        Its edges, px from the top left of that part.
    place
        Where it goes, dots from the figure's top left; a whole multiple of the area's size.
    """
    from matplotlib.collections import LineCollection

    across, down = (round(n) for n in figure.get_size_inches() * figure.dpi)
    times = place.width // area.shape[1]
    bottom = down - place.y - place.height
    dots = magnified(area, times)
    # Placed dot on dot; an image within axes would be resampled.
    figure.figimage(
        np.repeat(dots[:, :, None], 3, axis=2), place.x, bottom, origin="upper", zorder=-1
    )
    axes = figure.add_axes(
        (place.x / across, bottom / down, place.width / across, place.height / down)
    )
    axes.set_xlim(0, place.width)
    axes.set_ylim(place.height, 0)
    axes.set_axis_off()
    ends = list(marks(edges, times))
    # Dark around light shows on any ground.
    axes.add_collection(LineCollection(ends, colors=BLACK, linewidths=2.4, capstyle="butt"))
    axes.add_collection(LineCollection(ends, colors=ORANGE, linewidths=1.2, capstyle="butt"))
