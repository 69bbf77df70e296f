"""Which few tiles of a frame are worth measuring."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tether.model import Rect
from tether.sharpness.frame_map import CELL, FrameMap

LIKELY = 5
"""Tiles that may be the frame's sharpest."""

SPREAD = (3, 5)
"""Rows and columns of parts of the frame, in each of which one tile is looked at for movement."""


def side_of(shape: tuple[int, int]) -> int:
    """Side of a tile, px, for a frame of shape (rows, columns): 256, less in small frames."""
    return max(min(256, min(shape) // 6), min(128, *shape))


def likely_sharpest(
    found: FrameMap, shape: tuple[int, int], apart_from: Sequence[Rect]
) -> list[Rect]:
    """Tiles around the keenest cells, the keenest first, none overlapping another.

    Parameters
    ----------
    found
        The map of the frame.
    shape
        The frame's rows and columns.
    apart_from
        Areas that no tile may overlap.
    """
    side, tiles = side_of(shape), list[Rect]()
    keen = found.keenness.ravel()
    for cell in np.argsort(-keen, kind="stable"):
        if len(tiles) == LIKELY or keen[cell] <= 0:
            break
        tile = _around(int(cell), found.keenness.shape[1], shape, side)
        if not any(_overlap(tile, other) for other in (*tiles, *apart_from)):
            tiles.append(tile)
    return tiles


def spread(found: FrameMap, shape: tuple[int, int], apart_from: Sequence[Rect]) -> list[Rect]:
    """One tile from each part of the frame that has detail; which show a movement if there is one.

    Of a part's cells, that is taken whose edges run both ways and are narrow at least one way: what
    is out of focus hides a movement, and so does a line along it.

    Parameters
    ----------
    found, shape, apart_from
        As for `likely_sharpest`.
    """
    side, tiles = side_of(shape), list[Rect]()
    worth = np.sqrt(found.crossed) * found.keenest_way
    rows, columns = worth.shape
    for down in np.array_split(np.arange(rows), min(SPREAD[0], rows)):
        for across in np.array_split(np.arange(columns), min(SPREAD[1], columns)):
            part = worth[np.ix_(down, across)]
            for at in np.argsort(-part, axis=None, kind="stable")[: len(down) * len(across) // 2]:
                y, x = divmod(int(at), len(across))
                if part[y, x] <= 0:
                    break
                tile = _around(int(down[y] * columns + across[x]), columns, shape, side)
                if not any(_overlap(tile, other) for other in (*tiles, *apart_from)):
                    tiles.append(tile)
                    break
    return tiles


def _around(cell: int, columns: int, shape: tuple[int, int], side: int) -> Rect:
    row, column = divmod(cell, columns)
    y, x = (
        min(max(at * CELL + (CELL - side) // 2, 0), whole - side)
        for at, whole in zip((row, column), shape, strict=True)
    )
    return Rect(x, y, side, side)


def _overlap(a: Rect, b: Rect) -> bool:
    across = a.x < b.x + b.width and b.x < a.x + a.width
    return across and a.y < b.y + b.height and b.y < a.y + a.height
