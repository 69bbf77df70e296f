"""Where an area's edges run, and which way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.gradients import REACH, Gradients, gradients
from tether.sharpness.noise import BLOCK, block_means, flattest
from tether.sharpness.octaves import Octave

SECTORS = 8
"""Sectors of direction from each of which the strongest edge points are taken."""

ABOVE_NOISE = 6.0
"""Times the standard deviation of its noise that a gradient must reach."""

_LEAST = 0.8  # coded levels a px: below that the steps of 8 bit draw edges of their own
_WHITE = 2 * (84 / 1024) * (70 / 256)  # mean square of gradients over variance, white noise
_SMOOTH = 20  # times that: noise which a camera or JPEG smoothed hides from second differences
_RIM = REACH + 1  # so that the outermost gradients can be compared outwards
_BAND = 56  # rows
_STRIP = 3 * BLOCK - 2  # rows, three blocks of gradients with the rim


@dataclass(frozen=True, slots=True)
class EdgePoints:
    """Points on edges of one octave.

    `x`, `y` are columns and rows, `normal` the direction of the edge's normal, rad, in
    (-pi, pi], counter-clockwise from +x with y up, and `steep` whether that is nearer to up and
    down than to right and left. All of shape (points,).
    """

    x: NDArray[np.intp]
    y: NDArray[np.intp]
    steep: NDArray[np.bool_]
    normal: NDArray[np.float32]


def edge_points(octave: Octave, most: int, noise: float) -> EdgePoints:
    """Find the strongest edge points of every direction.

    A point lies on an edge where the gradient is greatest along itself (Canny, IEEE PAMI 8(6),
    1986) and clear of the noise. The strongest are also the sharpest, so that a small sharp part
    of the area is not lost among the rest; taking them by direction keeps those that a movement
    has weakened.

    Parameters
    ----------
    octave
        The area at one size.
    most
        Points to return at most.
    noise
        Standard deviation of a pixel of that octave, as a fraction of full scale.
    """
    bands = list(_bands(octave, _BAND))
    # Of a small area all bands are kept, as both steps look at every one.
    kept = [_band(octave, *band) for band in bands] if not _is_large(octave) else None
    flattest_square = _flattest_square(octave) if kept is None else _flattest_of(kept)
    # Where detail is everywhere, even the flattest gradients are not noise alone.
    noise_square = min(flattest_square, _SMOOTH * _WHITE * (255 * noise) ** 2)
    least = np.float32(max(ABOVE_NOISE**2 * noise_square / 2, _LEAST**2))
    found = [
        _crests(*(kept[nth] if kept is not None else _band(octave, *band)), band[0], least)
        for nth, band in enumerate(bands)
    ]
    x, y, across, up, square = (np.concatenate(q) for q in zip(*found, strict=True))
    normal = np.arctan2(up, across)
    strongest = _strongest(square, normal, most)
    normal = normal[strongest]
    steep = np.abs(up[strongest]) > np.abs(across[strongest])
    return EdgePoints(x[strongest], y[strongest], steep, normal)


def _bands(octave: Octave, every: int) -> Iterator[tuple[int, int]]:
    """Rows from and to, a band at a time, so that all that is made of one stays in the cache."""
    first = max(octave.inner.y, _RIM)
    last = min(octave.inner.y + octave.inner.height, octave.coded.shape[0] - _RIM)
    for top in range(first, max(last, first + 1), every):
        yield top, max(min(top + _BAND, last), top)


def _band(octave: Octave, top: int, bottom: int) -> tuple[int, Gradients | None]:
    r = octave.inner
    left, right = max(r.x, _RIM), min(r.x + r.width, octave.coded.shape[1] - _RIM)
    if bottom <= top or right <= left:
        return left, None
    band = octave.coded[top - _RIM : bottom + _RIM, left - _RIM : right + _RIM]
    return left, gradients(band)


def _is_large(octave: Octave) -> bool:
    return octave.inner.height > 4 * _BAND


def _flattest_square(octave: Octave) -> float:
    """Mean square of the gradients where they are least, of a large area: sampled by strips."""
    strips = _bands(octave, 2 * _BAND)
    return _flattest_of([_band(octave, top, min(bottom, top + _STRIP)) for top, bottom in strips])


def _flattest_of(bands: list[tuple[int, Gradients | None]]) -> float:
    means = [block_means(g.square) for _, g in bands if g is not None]
    return flattest(np.concatenate(means)) if means else 0.0


def _crests(
    left: int, g: Gradients | None, top: int, least: np.float32
) -> tuple[NDArray[np.generic], ...]:
    """Crests of one band: columns, rows, gradients to the right and up, and their squares."""
    if g is None:
        none = np.zeros(0, np.float32)
        return np.zeros(0, np.intp), np.zeros(0, np.intp), none, none, none
    crest = _greatest_along_itself(g)
    crest &= g.square[1:-1, 1:-1] > least
    y, x = np.divmod(np.flatnonzero(crest), crest.shape[1])
    a, u, m = (q[1:-1, 1:-1][y, x] for q in g)
    return x + left, y + top, a, u, m


def _greatest_along_itself(g: Gradients) -> NDArray[np.bool_]:
    """Tell where the gradient is no less than before and after, along the nearer axis."""
    m = g.square
    here = m[1:-1, 1:-1]
    lying = np.abs(g.up[1:-1, 1:-1]) > np.abs(g.across[1:-1, 1:-1])
    crest: NDArray[np.bool_] = (here >= m[1:-1, 2:]) & (here > m[1:-1, :-2])
    crest &= ~lying
    lying &= (here >= m[:-2, 1:-1]) & (here > m[2:, 1:-1])
    crest |= lying
    return crest


def _strongest(
    square: NDArray[np.float32], normal: NDArray[np.float32], most: int
) -> NDArray[np.intp]:
    """Take the strongest of every sector; what one sector lacks the others share."""
    sector = np.floor(normal * np.float32(SECTORS / np.pi)).astype(np.intp) % SECTORS
    owned = [np.flatnonzero(sector == s) for s in range(SECTORS)]
    owned.sort(key=len)
    kept = []
    for i, own in enumerate(owned):
        each = most // (SECTORS - i)
        if len(own) > each:
            kept.append(own[np.argpartition(square[own], len(own) - each)[len(own) - each :]])
        else:
            kept.append(own)
        most -= len(kept[-1])
    return np.concatenate(kept)
