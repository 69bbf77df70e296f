"""How much of an area's contrast lies in which direction and at which fineness."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import fft

Floats = NDArray[np.float32]

BLOCK = 64
"""Side of the blocks that are transformed, px."""

DIRECTIONS = 12
"""Directions that are told apart, evenly over half a turn from +x counter-clockwise."""

BANDS = (0.13, 0.22, 0.33, 0.46, 0.64, 0.9, 1.25, 1.7, 2.3, 3.0)
"""Limits of the bands, rad/px; pi is the finest detail that pixels can hold."""

_MOST = 7  # blocks along a side
_APART = 24  # px between neighbouring blocks at least
_SQUARE_LEVEL = np.float32(1e-4)  # so that flat ground has a logarithm


def turns() -> NDArray[np.float64]:
    """The directions, rad; shape (`DIRECTIONS`,)."""
    return np.arange(DIRECTIONS) * np.pi / DIRECTIONS


def block_spectra(coded: Floats) -> Floats:
    """Power spectra of overlapping blocks, after a Hann window.

    Parameters
    ----------
    coded
        Coded values on a scale of 0 to 255, shape (rows, columns), at least `BLOCK` each.

    Returns
    -------
    ndarray
        Mean power in coded levels squared, shape (blocks, directions, bands).
    """
    shares, window = _shares()
    places = [(y, x) for y in _starts(coded.shape[0]) for x in _starts(coded.shape[1])]
    blocks = np.stack([coded[y : y + BLOCK, x : x + BLOCK] for y, x in places])
    blocks -= blocks.mean((1, 2), keepdims=True)
    blocks *= window
    waves = fft.rfft2(blocks)
    power = waves.real**2
    power += waves.imag**2
    out = power.reshape(len(blocks), -1) @ shares
    out += _SQUARE_LEVEL
    return np.asarray(out.reshape(len(blocks), DIRECTIONS, len(BANDS) - 1), np.float32)


def _starts(length: int) -> NDArray[np.intp]:
    count = max(1, min(_MOST, (length - BLOCK) // _APART + 1))
    return np.unique(np.linspace(0, length - BLOCK, count).astype(np.intp))


@cache
def _shares() -> tuple[Floats, Floats]:
    """Share of every wave in every direction and band, and the window; float32."""
    down, right = fft.fftfreq(BLOCK) * 2 * np.pi, fft.rfftfreq(BLOCK) * 2 * np.pi
    y, x = np.meshgrid(down, right, indexing="ij")
    fineness, turn = np.hypot(x, y), np.arctan2(-y, x)
    # Half of the plane is left out by the real transform, except along its own two edges.
    twice = np.where((x > 0) & (x < np.pi - 1e-6), 2.0, 1.0)
    shares = np.zeros((*x.shape, DIRECTIONS, len(BANDS) - 1))
    for band, (low, high) in enumerate(pairwise(BANDS)):
        # Few waves are so coarse: there a direction must take in more of its neighbours.
        narrow = 8 if band < 2 else 16 if band < 4 else 28
        inside = twice * ((fineness >= low) & (fineness < high))
        for number, t in enumerate(turns()):
            share = inside * np.abs(np.cos(turn - t)) ** narrow
            shares[:, :, number, band] = share / share.sum()
    hann = np.hanning(BLOCK + 2)[1:-1]
    window = np.outer(hann, hann)
    window /= np.sqrt((window**2).sum())
    flat = shares.reshape(-1, DIRECTIONS * (len(BANDS) - 1))
    return flat.astype(np.float32), window.astype(np.float32)
