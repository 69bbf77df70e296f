"""Spectra of an area by overlapping tiles, so that what moved or turned a little still matches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import fft

Floats = NDArray[np.float32]
Complexes = NDArray[np.complex64]
Ints = NDArray[np.intp]

DIRECTIONS = 12
BANDS = 14
LOWEST, HIGHEST = 0.06, 2.0
"""Spatial frequencies that are compared, rad/px; above them sensors fold detail back."""

_LEAST_BINS = 1.5  # of a tile's frequencies: below, the window's own spectrum is seen
_SHORT = 300  # px
_FULL = 8  # modes a cell, from which noise can be told


@dataclass(frozen=True, slots=True)
class Modes:
    """Frequencies of a tile that are compared, sorted by cell: band first, then direction.

    `at` is their place in a flattened half spectrum, `row`, `column` their indices there, `up`,
    `across` the frequencies down the rows and along them, rad/px, `start` where each cell begins,
    `count` its modes. Of the cells, `band` is their number, `turn` the direction of the wave,
    rad counter-clockwise from +x, and `full` the first band with all directions well filled.
    """

    side: int
    at: Ints
    row: Ints
    column: Ints
    down: Floats
    across: Floats
    start: Ints
    count: NDArray[np.float64]
    band: Ints
    turn: NDArray[np.float64]
    full: int

    def summed(self, of_modes: NDArray[np.float32]) -> NDArray[np.float64]:
        """Sum over the modes of every cell; the last axis becomes that of the cells."""
        return np.add.reduceat(of_modes, self.start, axis=-1).astype(np.float64)


@lru_cache(maxsize=4)
def modes(side: int) -> Modes:
    """Frequencies of tiles of `side` px."""
    down = 2 * np.pi * np.fft.fftfreq(side)[:, None]
    across = 2 * np.pi * np.fft.rfftfreq(side)[None, :]
    w = np.hypot(down, across)
    edges = np.geomspace(LOWEST, HIGHEST, BANDS + 1)
    band = np.searchsorted(edges, w, side="right") - 1
    direction = np.floor(np.arctan2(-down, across) % np.pi * DIRECTIONS / np.pi + 0.5).astype(int)
    cell = band * DIRECTIONS + direction % DIRECTIONS
    # Half the plane tells all; on its border both halves are stored.
    kept = (band >= 0) & (band < BANDS) & (w > _LEAST_BINS * 2 * np.pi / side)
    kept &= ~((across == 0) & (down < 0))
    at = np.flatnonzero(kept)
    at = at[np.argsort(cell.ravel()[at], kind="stable")]
    cells, start, count = np.unique(cell.ravel()[at], return_index=True, return_counts=True)
    row, column = np.divmod(at, w.shape[1])
    per_band = [count[cells // DIRECTIONS == b] for b in range(BANDS)]
    filled = [len(c) == DIRECTIONS and c.min() >= _FULL for c in per_band]
    return Modes(
        side,
        at,
        row,
        column,
        down[row, 0].astype(np.float32),
        across[0, column].astype(np.float32),
        start,
        count.astype(np.float64),
        cells // DIRECTIONS,
        cells % DIRECTIONS * np.pi / DIRECTIONS,
        filled.index(True) if any(filled) else BANDS,
    )


@lru_cache(maxsize=4)
def window(side: int) -> Floats:
    """Hann's window, shape (side, side)."""
    once = np.sin(np.pi * (np.arange(side) + 0.5) / side) ** 2
    return np.outer(once, once).astype(np.float32)


def side_for(length: int) -> int:
    """Side of the tiles for an area whose shorter side is `length`, px."""
    return 128 if length >= 240 else 96 if length >= 150 else 64


def starts(low: int, high: int, side: int) -> Ints:
    """First rows or columns of tiles from `low` to `high`.

    They overlap by two thirds where there are few, and by less than half where there are many.
    """
    length = high - low
    number = 3 * length // side - 2 if length < _SHORT else 7 * length // (4 * side) - 1
    return np.round(np.linspace(low, high - side, max(number, 1))).astype(np.intp)


def spectra(
    light: Floats, tops: Ints, lefts: Ints, side: int, weight: Floats | None = None
) -> tuple[Complexes, NDArray[np.float64]]:
    """Transform tiles of an area.

    Parameters
    ----------
    light
        Shape (rows, columns).
    tops, lefts
        First rows and first columns; every top goes with every left.
    side
        Side of a tile, px.
    weight
        How far each pixel counts, 0 to 1, of the shape of `light`; None for all alike.

    Returns
    -------
    tuple of ndarray
        Spectra of the windowed tiles less their mean, at the frequencies of `modes(side)`, of
        shape (tiles, modes); and each tile's mean light, of shape (tiles,).
    """
    at, whole = modes(side).at, window(side)
    out = np.empty((len(tops) * len(lefts), len(at)), np.complex64)
    mean = np.empty(len(out))
    # One at a time stays in the processor's cache.
    for i, (y, x) in enumerate((y, x) for y in tops for x in lefts):
        place = slice(y, y + side), slice(x, x + side)
        seen = whole if weight is None else whole * weight[place]
        tile = light[place]
        mean[i] = np.vdot(tile, seen) / max(float(seen.sum()), 1e-9)
        out[i] = fft.rfft2((tile - np.float32(mean[i])) * seen).take(at)
    return out, mean
