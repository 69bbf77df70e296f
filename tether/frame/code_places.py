"""Where in a frame a code may be: places that alternate finely between light and dark.

A code is ink on paper, so that from one pixel to the next its luma changes as much, for the light
that falls there, as anything in a picture does. That is looked for in small pictures of the frame,
each half as large as the one before: in one of them the modules of a code are one to three pixels
wide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.frame.pixels import Luma
from tether.frame.small_copies import eight_bits, halved, room
from tether.model import Rect

if TYPE_CHECKING:
    from tether.frame.view import Small

LONG_SIDE = 1000
"""Px of the longer side of the largest small picture: a code of 4 % of it has 40."""

CELL = 8
"""Px of a small picture that count as one."""


_BOX = 3  # cells that a change is averaged over: about the smallest code
_HALVINGS = 3  # from a px to a cell
_LEVELS = 4
_SMALLEST = 48  # px of a small picture
_PEAKS = 4  # places a small picture
# Change from a px to the next, of the light: of 585 slates that could be read, out of focus and in
# little light, too, none had less than 0.144.
_LEAST = 0.12
_LEAST_LEVELS = 3.0  # of 255: below lies the noise
_STILL = 0.6  # of a place's peak, where it still counts as part of it
_FARTHEST = 25  # cells from its peak
_SHADE = 0.7  # of the frame's bright light: in the dark ratios tell little, and noise is all
_BRIGHT = 0.98  # of the frame is darker than its bright light
_MARGIN = 0.15  # of a side, and
_MARGIN_CELLS = 2  # for the quiet zone, which does not alternate


@dataclass(frozen=True, slots=True)
class Place:
    """A part of the frame that may hold a code.

    `peak` is where it changes most, x and y in px of the frame; `change` how much there from a px
    of a small picture to the next, as a share of the light; `px` how many of the frame's that is.
    """

    rect: Rect
    peak: tuple[int, int]
    px: int
    change: float


def places(luma: Luma) -> list[Place]:
    """Find where codes may be, the likeliest first.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), of any size.
    """
    px = max(round(max(luma.shape) / LONG_SIDE), 1)
    pictures = _pictures(luma[::px, ::px])
    if len(pictures) <= _HALVINGS:
        return []
    light = np.sort(pictures[min(_LEVELS + 1, len(pictures) - 1)], axis=None)
    shade = _SHADE * float(light[int(_BRIGHT * light.size)]) + 1
    found: list[Place] = []
    for level, (picture, bright) in enumerate(zip(pictures, pictures[_HALVINGS:], strict=False)):
        if level < _LEVELS and min(picture.shape) >= _SMALLEST:
            found += _peaks(_shares(picture, bright, shade), px << level, luma.shape)
    return sorted(found, key=lambda place: -place.change)


def _pictures(some: Luma) -> list[Small]:
    """Small pictures of a frame, each half as large as the one before.

    The first has single pixels, no mean of several: bars of one or two keep their contrast.
    """
    pictures = [eight_bits(some, "picture 0")]
    while min(pictures[-1].shape) >= 8 and len(pictures) < _LEVELS + _HALVINGS:
        pictures.append(halved(pictures[-1], f"picture {len(pictures)}"))
    return pictures


def _shares(picture: Small, bright: Small, shade: float) -> NDArray[np.float32]:
    """The change from a pixel to the next, across or down, by cells, as a share of the light."""
    import cv2

    here = picture[1:, 1:]
    across = cv2.absdiff(here, picture[1:, :-1], room("across", here.shape))
    down = cv2.absdiff(here, picture[:-1, 1:], room("down", here.shape))
    change = np.asarray(cv2.max(across, down, across), np.uint8)
    for times in range(_HALVINGS):
        change = halved(change, f"change {times}")
    high, wide = (min(sides) for sides in zip(change.shape, bright.shape, strict=True))
    mean, light = (
        cv2.boxFilter(cells[:high, :wide], cv2.CV_32F, (_BOX, _BOX)) for cells in (change, bright)
    )
    _, mean = cv2.threshold(mean, _LEAST_LEVELS, 0, cv2.THRESH_TOZERO)
    return np.asarray(mean / (light + np.float32(shade)), np.float32)


def _peaks(share: NDArray[np.float32], px: int, shape: tuple[int, ...]) -> list[Place]:
    import cv2

    cell = CELL * px
    found: list[Place] = []
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
        near[max(j - 1, 0) : j + high + 1, max(i - 1, 0) : i + wide + 1] = 0
        rect = _widened(Rect(left + i, top + j, wide, high), cell, shape)
        found.append(Place(rect, (x * cell + cell // 2, y * cell + cell // 2), px, peak))
    return found


def _widened(cells: Rect, cell: int, shape: tuple[int, ...]) -> Rect:
    """The part of the frame about some cells, px."""
    room = _MARGIN_CELLS * cell
    across, down = (room + round(_MARGIN * side * cell) for side in (cells.width, cells.height))
    left, top = max(cells.x * cell - across, 0), max(cells.y * cell - down, 0)
    right = min((cells.x + cells.width) * cell + across, shape[1])
    bottom = min((cells.y + cells.height) * cell + down, shape[0])
    return Rect(left, top, right - left, bottom - top)
