"""Where in a frame a code may be: places that alternate finely between light and dark.

A code is ink on paper, so that per pixel its luma changes as much, for the light that falls there,
as anything in a picture does. That is looked for in small pictures of the frame, each half as
large as the one before: in one of them the modules of a code are one to three pixels wide.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.frame.pixels import Luma
from tether.model import Rect

if TYPE_CHECKING:
    from tether.frame.view import Small

LONG_SIDE = 1500
"""Px of the longer side of the largest small picture: a code of 4 % of it has 60."""

_LEVELS = 5
_CELL = 4  # px of a small picture that count as one
_BOX = 5  # cells that a change is averaged over: about the smallest code
_SMALLEST = 48  # px of a small picture
_PEAKS = 6  # places a small picture
_LEAST = 0.06  # change per pixel, of the light; 4 px of defocus leave bar codes twice that
_LEAST_LEVELS = 3.0  # of 255: below lies the noise
_STILL = 0.6  # of a place's peak, where it still counts as part of it
_GAP = 1.6  # times the areas of two places that one around both may have
_FARTHEST = 50  # cells from its peak
_SHADE = 0.7  # of the frame's bright light: in the dark ratios tell little, and noise is all
_MARGIN = 0.15  # of a side, and
_MARGIN_CELLS = 3  # for the quiet zone, which does not alternate
_MODULE = 4  # px of the frame that a module has at least, for a part to be reduced


@dataclass(frozen=True, slots=True)
class Place:
    """A part of the frame, and how many times it may be reduced before it is read.

    `change` is that per pixel, as a share of the light.
    """

    rect: Rect
    times: int
    change: float


def places(luma: Luma) -> list[Place]:
    """Find where codes may be, the likeliest first.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), of any size.
    """
    found: list[Place] = []
    for picture, px in _pictures(luma):
        found += _peaks(picture, px, luma.shape)
    return sorted(found, key=lambda place: -place.change)


def eight_bits(luma: Luma) -> Small:
    """The values in 8 bits; 16 are spread to the brightest, for they may be dark all over."""
    import cv2

    if luma.dtype == np.uint8:
        return np.ascontiguousarray(luma, np.uint8)
    brightest = max(int(luma.max(initial=0)), 1)
    return np.asarray(
        cv2.convertScaleAbs(np.ascontiguousarray(luma), alpha=255 / brightest), np.uint8
    )


def _pictures(luma: Luma) -> Iterator[tuple[Small, int]]:
    """Small pictures of a frame, with the px of it that one of theirs stands for."""
    import cv2

    px = max(round(max(luma.shape) / LONG_SIDE), 1)
    # Single pixels, no mean of several: bars of one or two keep their contrast.
    picture = eight_bits(luma[::px, ::px])
    for _ in range(_LEVELS):
        if min(picture.shape) < _SMALLEST:
            return
        yield picture, px
        wide, high = picture.shape[1] // 2, picture.shape[0] // 2
        even = picture[: 2 * high, : 2 * wide]
        picture = np.asarray(cv2.resize(even, (wide, high), interpolation=cv2.INTER_AREA), np.uint8)
        px *= 2


def _peaks(picture: Small, px: int, shape: tuple[int, ...]) -> list[Place]:
    import cv2

    change, light = _cells(picture)
    shade = _SHADE * float(np.percentile(light, 98)) + 1
    share: NDArray[np.float32] = np.asarray(change / (light + shade), np.float32)
    share[change < _LEAST_LEVELS] = 0
    found: list[tuple[float, Rect]] = []
    for _ in range(_PEAKS):
        _, peak, _, (x, y) = cv2.minMaxLoc(share)
        if peak < _LEAST:
            break
        left, top = max(x - _FARTHEST, 0), max(y - _FARTHEST, 0)
        near = share[top : y + _FARTHEST + 1, left : x + _FARTHEST + 1]
        # Fills what belongs to the peak with zeros, which also keeps it from being found again.
        part = np.ascontiguousarray(near)
        flags = 8 | cv2.FLOODFILL_FIXED_RANGE
        below = (1 - _STILL) * peak
        *_, (i, j, wide, high) = cv2.floodFill(
            part, None, (x - left, y - top), 0.0, below, 0.0, flags
        )
        near[...] = part
        box = Rect(left + i, top + j, wide, high)
        near[max(j - 1, 0) : j + high + 1, max(i - 1, 0) : i + wide + 1] = 0
        found.append((peak, box))
    times = max(px // _MODULE, 1)
    return [
        Place(_widened(box, _CELL * px, shape), times, change) for change, box in _joined(found)
    ]


def _joined(found: list[tuple[float, Rect]]) -> list[tuple[float, Rect]]:
    """The places, and one around each two that lie side by side: they may be halves of one code."""
    more = []
    for number, (change, box) in enumerate(found):
        for stronger, other in found[:number]:
            both = _around(box, other)
            areas = box.width * box.height + other.width * other.height
            if change >= _STILL * stronger and both.width * both.height <= _GAP * areas:
                more.append((change, both))
    return found + more


def _around(one: Rect, other: Rect) -> Rect:
    left, top = min(one.x, other.x), min(one.y, other.y)
    right = max(one.x + one.width, other.x + other.width)
    bottom = max(one.y + one.height, other.y + other.height)
    return Rect(left, top, right - left, bottom - top)


def _cells(picture: Small) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """The mean change from a pixel to the next, across and down, and the mean light, by cells."""
    import cv2

    here = picture[1:, 1:]
    across, down = cv2.absdiff(here, picture[1:, :-1]), cv2.absdiff(here, picture[:-1, 1:])
    change = cv2.addWeighted(across, 0.5, down, 0.5, 0)
    wide, high = change.shape[1] // _CELL, change.shape[0] // _CELL
    cells = []
    for values in (change, here):
        whole = values[: high * _CELL, : wide * _CELL]
        small = cv2.resize(whole, (wide, high), interpolation=cv2.INTER_AREA)
        cells.append(np.asarray(cv2.boxFilter(small, cv2.CV_32F, (_BOX, _BOX)), np.float32))
    return cells[0], cells[1]


def _widened(cells: Rect, cell: int, shape: tuple[int, ...]) -> Rect:
    """The part of the frame about some cells, px."""
    room = _MARGIN_CELLS * cell
    across, down = (room + round(_MARGIN * side * cell) for side in (cells.width, cells.height))
    left, top = max(cells.x * cell - across, 0), max(cells.y * cell - down, 0)
    right = min((cells.x + cells.width) * cell + across, shape[1])
    bottom = min((cells.y + cells.height) * cell + down, shape[0])
    return Rect(left, top, right - left, bottom - top)
