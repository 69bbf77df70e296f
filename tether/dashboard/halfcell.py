"""Pictures in half cells: one picture pixel is half a cell, never more and never less."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from rich.color import Color
from rich.segment import Segment
from rich.style import Style

from tether.dashboard.palette import GROUND, ORANGE

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Marked = npt.NDArray[np.uint8] | npt.NDArray[np.int16]

OUTSIDE = -1  # where there is no picture
MARK = 256  # brighter than any picture: what is drawn over it
GROUND_GREY = int(GROUND[3:5], 16)
_GROUND = int(GROUND[1:3], 16), int(GROUND[3:5], 16), int(GROUND[5:7], 16)


def origin(size: int, shown: int, pan: int) -> int:
    """Return where a window of `shown` px begins on a side of `size` px, `pan` px off its middle.

    Negative where the picture is the smaller of the two: it is put in the middle then.
    """
    middle = (size - shown) // 2
    return middle if size <= shown else max(0, min(middle + pan, size - shown))


def window(grey: Marked, width: int, height: int, pan: tuple[int, int]) -> list[list[int]]:
    """Cut `height` rows of `width` px around the middle, moved by `pan` (x, y) px.

    Returns
    -------
    list of list of int
        Luma, 0 to 255, or `MARK`, unscaled; `OUTSIDE` beyond the picture's edge.
    """
    rows, columns = grey.shape
    x, y = origin(columns, width, pan[0]), origin(rows, height, pan[1])
    inside = grey[max(0, y) : max(0, y + height), max(0, x) : max(0, x + width)].tolist()
    left, above = max(0, -x), max(0, -y)
    padded = [[OUTSIDE] * left + line + [OUTSIDE] * (width - left - len(line)) for line in inside]
    empty = [OUTSIDE] * width
    return [empty] * above + padded + [empty] * (height - above - len(padded))


def line(upper: list[int], lower: list[int]) -> list[Segment]:
    """Draw two rows of pixels as one line of cells."""
    segments: list[Segment] = []
    count, last = 0, None
    for pair in zip(upper, lower, strict=True):
        if pair != last and last is not None:
            segments.append(Segment("▀" * count, _style(*last)))
            count = 0
        last = pair
        count += 1
    if last is not None:
        segments.append(Segment("▀" * count, _style(*last)))
    return segments


def dithered(rows: list[list[int]]) -> list[str]:
    """Draw rows of pixels, two a line, in the terminal's own two colours.

    Each pixel is lit or not, and what that is wrong by is handed on to its neighbours (Floyd and
    Steinberg, 1976), so that greys are told by density and edges stay where they are.
    """
    ahead = [[float(max(0, value)) for value in row] for row in rows]
    lit = [[False] * len(row) for row in rows]
    for y, row in enumerate(ahead):
        below = ahead[y + 1] if y + 1 < len(ahead) else None
        for x, value in enumerate(row):
            lit[y][x] = value >= 128 and rows[y][x] != OUTSIDE
            wrong = (value - 255 * lit[y][x]) / 16
            if x + 1 < len(row):
                row[x + 1] += wrong * 7
            if below is not None:
                below[x] += wrong * 5
                if x > 0:
                    below[x - 1] += wrong * 3
                if x + 1 < len(row):
                    below[x + 1] += wrong
    return [
        "".join(" ▄▀█"[2 * up + low] for up, low in zip(lit[y], lit[y + 1], strict=True))
        for y in range(0, len(lit) - 1, 2)
    ]


@lru_cache(65536)
def _style(upper: int, lower: int) -> Style:
    return Style(color=_colour(upper), bgcolor=_colour(lower))


@lru_cache(258)
def _colour(value: int) -> Color:
    if value == MARK:
        return Color.parse(ORANGE)
    return Color.from_rgb(*(_GROUND if value == OUTSIDE else (value, value, value)))
