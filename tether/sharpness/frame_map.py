"""Where in a frame there is detail, and where it is likely to be finest: cheap, and only a ranking.

Which place is sharpest is then measured; this says which few places are worth it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.tone import bits_of

Floats = NDArray[np.float32]

CELL = 64
"""Side of the map's cells, px."""

FINE, COARSE = 2, 8
"""Distances, px, over which coded values are compared: as a sharp edge is wide, and a soft one."""

_EVERY = 8  # rows; what lies between is like its neighbours, for a ranking
_FLATTEST = 0.02  # quantile of the cells that is taken to hold noise alone
_CLEAR = 4.0  # times the noise that a cell's coarse energy must reach
_LEAST = 2.0  # square levels (of 255): below that 8-bit steps draw edges of their own


@dataclass(frozen=True, slots=True)
class FrameMap:
    """Energy of the differences of coded values, in square levels of 255, noise taken off.

    `fine` and `coarse` are for the two distances, both of shape (2, rows, columns) of cells: first
    along the picture's rows, then along its columns. What does not fill a cell is left out.
    """

    fine: Floats
    coarse: Floats

    @property
    def detail(self) -> NDArray[np.bool_]:
        """Which cells hold edges that stand clear of the noise; shape (rows, columns)."""
        return np.asarray(self.coarse.sum(0) > 0)

    @property
    def keenness(self) -> Floats:
        """Fine over coarse energy, shape (rows, columns); 0 where there is no detail.

        Contrast and light cancel. An edge far narrower than `FINE` has 1/4 here, one far wider
        than `COARSE` 1/16: a difference over s px of a step has energy in proportion to s in the
        one case, to its square in the other.
        """
        return _over(self.fine.sum(0), self.coarse.sum(0))

    @property
    def keenest_way(self) -> Floats:
        """The same for the direction in which it is greater: a movement spares one."""
        return np.asarray(_over(self.fine, self.coarse).max(0))

    @property
    def crossed(self) -> Floats:
        """Coarse energy of the direction that has less, shape (rows, columns)."""
        return np.asarray(self.coarse.min(0))


def frame_map(luma: NDArray[np.uint8] | NDArray[np.uint16]) -> FrameMap:
    """Map a frame's detail on cells of `CELL` px.

    Parameters
    ----------
    luma
        The whole frame, coded values, uint8 or uint16, shape (rows, columns), at least `CELL` a
        side. Only some of its rows are read.

    Returns
    -------
    FrameMap
        Noise is taken to be what the flattest cells have; a cell that does not stand clear of it
        has 0.

    Raises
    ------
    TypeError
        If the pixels are neither uint8 nor uint16.
    ValueError
        If the frame is smaller than a cell.
    """
    scale = np.float32(1.0 if bits_of(luma) == 8 else 1 / 257)
    if luma.ndim != 2 or min(luma.shape) < CELL:
        raise ValueError(f"a frame of shape {luma.shape} has no cell of {CELL} px")
    # A row of cells at a time: all that is made of it stays in the cache.
    bands = [_band(luma[y : y + CELL], scale) for y in range(0, luma.shape[0] - CELL + 1, CELL)]
    energy = np.stack(bands, 2)
    flat = np.quantile(energy, _FLATTEST, axis=(2, 3), method="lower")[..., None, None]
    clear = energy[1] > np.maximum(_CLEAR * flat[1], _LEAST)
    fine, coarse = np.where(clear, np.maximum(energy - flat, 0), 0).astype(np.float32)
    return FrameMap(fine, coarse)


def _band(rows: NDArray[np.generic], scale: np.float32) -> Floats:
    """Mean squares of one row of cells, shape (2 distances, 2 directions, columns)."""
    columns = rows.shape[1] // CELL * CELL
    first, second, fine, coarse = (
        rows[at : at + CELL - COARSE : _EVERY, :columns].astype(np.float32) * scale
        for at in (0, 1, FINE, COARSE)
    )
    # Two pixels beside each other halve the noise, along the edge and not across it.
    along = (first + second) * np.float32(0.5)
    first, fine, coarse = (
        (row[:, ::2] + row[:, 1::2]) * np.float32(0.5) for row in (first, fine, coarse)
    )
    return np.array(
        [
            [_means(along[:, FINE:] - along[:, :-FINE], CELL), _means(fine - first, CELL // 2)],
            [
                _means(along[:, COARSE:] - along[:, :-COARSE], CELL),
                _means(coarse - first, CELL // 2),
            ],
        ]
    )


def _means(difference: Floats, width: int) -> Floats:
    """Mean square over cells `width` samples wide; the last may want a few samples."""
    difference *= difference
    summed = difference.sum(0)
    starts = np.arange(0, len(summed), width)
    counts = np.minimum(width, len(summed) - starts) * len(difference)
    return np.asarray(np.add.reduceat(summed, starts) / counts.astype(np.float32))


def _over(fine: Floats, coarse: Floats) -> Floats:
    return np.divide(fine, coarse, out=np.zeros_like(coarse), where=coarse > 0)
