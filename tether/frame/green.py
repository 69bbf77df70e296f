"""Green light at every pixel of a colour filter array, from its green samples alone.

A demosaic looks at the picture to guess what lies between the samples, and leaves its guesses at
edges. Here each missing sample is one fixed sum of the green ones about it, whatever the picture
shows: a sum that is exact for every surface of a degree. On a Bayer array, whose greens lie on a
quincunx, these are the Neville filters of Kovačević and Sweldens, Wavelet Families of Increasing
Order in Arbitrary Dimensions, IEEE Transactions on Image Processing 9(3), 2000. The same sums are
found for any array that repeats. Along rows and columns a quincunx resolves as much as all pixels
do, so that edges keep their width; `tests.benchmarks.accuracy_raw` says how well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from tether.frame.coding import coded

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

REACH = 3
"""How far a sum looks, px along either axis."""

PERIODS = (1, 2, 6)
"""Sides of the tiles that filter arrays repeat: none, Bayer's, and Fujifilm's X-Trans."""

_DEGREE = 5
_NEAR = 3.0  # a sample's weight may fall with this power of its distance
_MIRRORED = 2  # a tile up to this is met again by a reflection about the outermost pixel
_BAND = 510  # rows at a time: a multiple of the periods; what is done takes several times a band


@dataclass(frozen=True, slots=True)
class Mosaic:
    """How samples are laid out and counted.

    `pattern` tells which pixels of the smallest tile that repeats are green, and `black` where each
    of them begins to count, both of shape (period, period). `white` is where they end, and
    `full_from` the share of it from which the largest count is taken for the end instead.
    """

    pattern: Mask
    black: Floats
    white: float
    full_from: float = 1.0


def green_luma(counts: NDArray[np.uint16], mosaic: Mosaic) -> NDArray[np.uint16]:
    """Luma of a raw's green samples, coded on the curve of IEC 61966-2-1.

    Parameters
    ----------
    counts
        Samples, shape (rows, columns), in linear light.
    mosaic
        How they are laid out, from the top left corner.

    Returns
    -------
    ndarray
        uint16, of the same shape.
    """
    rows = counts.shape[0]
    period = len(mosaic.pattern)
    margin = -(-REACH // period) * period
    white = _white(counts, mosaic)
    out = np.empty(counts.shape, np.uint16)
    for top in range(0, rows, _BAND):
        start, end = max(top - margin, 0), min(top + _BAND, rows)
        light = _light(counts[start : min(end + margin, rows)], mosaic, white)
        out[top:end] = coded(filled(light, mosaic.pattern))[top - start : end - start]
    return out


def filled(green: Floats, pattern: Mask) -> Floats:
    """Fill in what lies between green samples.

    Parameters
    ----------
    green
        Light, 1 at the white level; shape (rows, columns). What is not green is not looked at.
    pattern
        Which pixels are green: the smallest tile that repeats from the top left corner.

    Returns
    -------
    ndarray
        float32 of the same shape. Beside a sample at the white level nothing is known: it is taken
        to be white, too.
    """
    if pattern.all():
        return green
    rows, columns = green.shape
    period = len(pattern)
    mask = np.tile(pattern, (-(-rows // period), -(-columns // period)))[:rows, :columns]
    seen = np.where(mask, green, np.float32(0))
    out = seen.copy()
    for places, kernel in _kernels(pattern.tobytes(), period):
        told = cv2.filter2D(seen, -1, kernel, borderType=cv2.BORDER_REFLECT_101)
        for y, x in zip(*np.nonzero(places), strict=True):
            out[y::period, x::period] = told[y::period, x::period]
    if period > _MIRRORED:
        _fill_rim(out, seen, mask)
    white = (seen >= 1).astype(np.uint8)
    beside = cv2.dilate(white, cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3)))
    out[beside > 0] = 1
    return out


def _fill_rim(out: Floats, seen: Floats, mask: Mask) -> None:
    """Fill what lies too near the rim for the sums with the mean of the greens beside it."""
    beside = (3, 3)
    mean = cv2.blur(seen, beside) / np.maximum(cv2.blur(mask.astype(np.float32), beside), 1e-6)
    filled_in = np.where(mask, seen, mean)
    for rim in (np.s_[:REACH], np.s_[-REACH:], np.s_[:, :REACH], np.s_[:, -REACH:]):
        out[rim] = filled_in[rim]


def weights(pattern: Mask, y: int, x: int) -> Floats:
    """Weights of the samples about one place of the tile, shape (2 `REACH` + 1, same).

    Of all sums that are exact for polynomials, the one with the least squared weights, those far
    off counted more. The degree is the highest that the samples in reach allow, up to 5.
    """
    offsets = np.arange(-REACH, REACH + 1)
    down, across = np.meshgrid(offsets, offsets, indexing="ij")
    high, wide = pattern.shape
    there = pattern[(y + down) % high, (x + across) % wide]
    v, u = down[there].astype(float), across[there].astype(float)
    near = np.hypot(u, v) ** -_NEAR
    for degree in range(_DEGREE, -1, -1):
        powers = [(p, q) for p in range(degree + 1) for q in range(degree + 1 - p)]
        exact = np.stack([u**p * v**q for p, q in powers])
        wanted = np.array([float(p == q == 0) for p, q in powers])
        solved = near * np.linalg.lstsq(exact * near, wanted, rcond=None)[0]
        if np.allclose(exact @ solved, wanted, atol=1e-6):
            break
    out = np.zeros(there.shape, np.float32)
    out[there] = np.round(solved, 7)
    return out


def _light(counts: NDArray[np.uint16], mosaic: Mosaic, white: float) -> Floats:
    out = np.zeros(counts.shape, np.float32)
    for part, black in _parts(mosaic):
        out[part] = (counts[part] - black) / np.float32(white - black)
    return out


def _white(counts: NDArray[np.uint16], mosaic: Mosaic) -> float:
    largest = max((int(counts[part].max(initial=0)) for part, _ in _parts(mosaic)), default=0)
    full = mosaic.full_from * mosaic.white < largest < mosaic.white
    return float(largest) if full else mosaic.white


def _parts(mosaic: Mosaic) -> Iterator[tuple[tuple[slice, slice], np.float32]]:
    """Where the greens lie, one place of the tile after the other, and their black level."""
    period = len(mosaic.pattern)
    for y, x in zip(*np.nonzero(mosaic.pattern), strict=True):
        yield (slice(y, None, period), slice(x, None, period)), mosaic.black[y, x]


@cache
def _kernels(tile: bytes, period: int) -> tuple[tuple[Mask, Floats], ...]:
    """The different sums of a tile, each with the places that it is for."""
    pattern = np.frombuffer(tile, np.bool_).reshape(period, period)
    found: dict[bytes, tuple[Mask, Floats]] = {}
    for y, x in zip(*np.nonzero(~pattern), strict=True):
        kernel = weights(pattern, int(y), int(x))
        places, _ = found.setdefault(kernel.tobytes(), (np.zeros_like(pattern), kernel))
        places[y, x] = True
    return tuple(found.values())
