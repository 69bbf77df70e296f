"""What an area shows in each direction, in the terms from which its edge width is told."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tether.model import Rect
from tether.sharpness.cut import with_margin
from tether.sharpness.edges import edge_points
from tether.sharpness.noise import pixel_noise
from tether.sharpness.octaves import clipping, octaves
from tether.sharpness.reblur import Reblur, reblur
from tether.sharpness.spectra import BANDS, BLOCK, DIRECTIONS, block_spectra, turns
from tether.sharpness.tone import ToneCurve
from tether.sharpness.widths import Widths, widths

Floats = NDArray[np.float32]
Pixels = NDArray[np.uint8] | NDArray[np.uint16]

_POINTS = (160, 96, 64)  # at most, of each octave
_HALF_SECTOR = math.radians(24)
_FEWEST = 4  # edges of a sector that speak for it; else those of all directions do
_WIDTHS = (0.15, 0.3, 0.5, 0.75)
_RATIOS = (0.5, 0.8, 0.95)
_MIDDLE = slice(1, 4)  # bands that nearly every blur leaves: against them the others are held
_FINE = slice(5, 8)
_UNKNOWN_WIDTH, _UNKNOWN_RATIO = 1.5, 0.5  # ln

_BAND_NAMES = tuple(f"{low}-{high} rad/px" for low, high in pairwise(BANDS))

DIRECTIONAL = (
    *(f"ln power {band}" for band in _BAND_NAMES),
    *(f"ln power {band}, finest blocks" for band in _BAND_NAMES),
    *(f"ln edge width px, quantile {q}" for q in _WIDTHS),
    "ln number of edges / 8",
    *(f"ln gradient, full over half size, quantile {q}" for q in _RATIOS),
    *(f"ln gradient, half over quarter size, quantile {q}" for q in _RATIOS),
)
"""Names of what is told of every direction, in order."""

OVERALL = (
    "ln noise, levels",
    *(f"ln power of the flattest blocks {band}" for band in _BAND_NAMES),
    "ln power, levels squared",
    "ln number of edges",
    *(f"share of edge points that a step fits, 1/{n}" for n in (1, 2, 4)),
    "share clipped",
    "ln shorter side px",
    *(f"ln number of edge points / 64, 1/{n}" for n in (1, 2, 4)),
    "ln power of the strongest block over the mean",
    "ln fineness of the finest block",
)
"""Names of what is told of the area as a whole, in order."""


@dataclass(frozen=True, slots=True)
class Traits:
    """What an area shows.

    `directional` has shape (`DIRECTIONS`, len(`DIRECTIONAL`)), `overall` (len(`OVERALL`),).
    `found` are the edges that a step fits, `noise` the standard deviation of a pixel as a
    fraction of full scale, `clipped` the share of clipped pixels.
    """

    directional: Floats
    overall: Floats
    found: Widths
    noise: float
    clipped: float


def traits(pixels: Pixels, inner: Rect, curve: ToneCurve) -> Traits:
    """Look at an area: its spectrum, the widths of its edges, what smoothing takes from them.

    Powers are of coded values, where noise is nearly even, and relative to those of the middle
    bands; edge widths are of light. So neither exposure nor contrast changes them.

    Parameters
    ----------
    pixels
        Luma, uint8 or uint16, shape (rows, columns), the area with its margin.
    inner
        The area within `pixels`, px.
    curve
        How they code light.
    """
    sizes = list(octaves(pixels, inner, curve))
    noises = [
        pixel_noise(o.coded[r.y : r.y + r.height, r.x : r.x + r.width])
        for o, r in ((o, o.inner) for o in sizes)
    ]
    points = [edge_points(o, m, n) for o, m, n in zip(sizes, _POINTS, noises, strict=True)]
    fitted = [widths(o, p) for o, p in zip(sizes, points, strict=True)]
    found = Widths.joined(fitted)
    spectral, told = _spectral(blocks_of(sizes[0].coded, inner))
    area = pixels[inner.y : inner.y + inner.height, inner.x : inner.x + inner.width]
    clipped = float(np.count_nonzero(clipping(area)) / area.size)
    counts = [len(p.x) for p in points]
    overall = [
        math.log(255 * noises[0] + 0.05),
        *told[:-2],
        math.log(len(found.px) + 1),
        *(len(w.px) / max(n, 1) for w, n in zip(fitted, counts, strict=True)),
        clipped,
        math.log(min(inner.width, inner.height)),
        *(math.log((n + 1) / 64) for n in counts),
        *told[-2:],
    ]
    losses = [reblur(sizes[i], sizes[i + 1], points[i]) for i in (0, 1)]
    edges = [_edges(found), *(_losses(loss) for loss in losses)]
    directional = np.concatenate([spectral, *edges], 1).astype(np.float32)
    return Traits(directional, np.array(overall, np.float32), found, noises[0], clipped)


def blocks_of(coded: Floats, inner: Rect) -> Floats:
    """An area with its margin, filled up to `BLOCK` px a side where it is smaller."""
    cut, _ = with_margin(coded, inner)
    short = [max(BLOCK - n, 0) for n in cut.shape]
    return np.pad(cut, [(0, n) for n in short], mode="edge") if any(short) else cut


def _spectral(coded: Floats) -> tuple[Floats, list[float]]:
    power = block_spectra(coded)
    middle = power[:, :, _MIDDLE].mean((1, 2))
    mean = power.mean(0)
    level = float(middle.mean())
    even = power.mean(1)
    flattest = np.quantile(even, 0.1, axis=0)
    # The finest blocks among those that hold anything: they see what is sharp in a part alone.
    fineness = even[:, _FINE].mean(1) / (middle + 4 * flattest[_MIDDLE].mean())
    fineness[middle < np.quantile(middle, 0.4)] = 0
    finest = np.argsort(-fineness, kind="stable")[: max(1, len(power) // 6)]
    best = power[finest].mean(0)
    spectral = np.log(np.concatenate([mean / level, best / best[:, _MIDDLE].mean()], 1))
    told = [
        *np.log(flattest / level + 1e-6).tolist(),
        math.log(level),
        math.log(float(middle.max()) / level),
        math.log(float(fineness.max()) + 1e-3),
    ]
    return spectral, told


def _edges(found: Widths) -> Floats:
    log_px = np.log(np.maximum(found.px, 0.3))
    quantiles, counts = _by_direction(log_px, found.normal, _WIDTHS, _UNKNOWN_WIDTH)
    return np.concatenate([quantiles, np.log((counts[:, None] + 1) / 8)], 1)


def _losses(loss: Reblur) -> Floats:
    return _by_direction(loss.log_ratio, loss.normal, _RATIOS, _UNKNOWN_RATIO)[0]


def _by_direction(
    values: Floats, normal: Floats, shares: tuple[float, ...], unknown: float
) -> tuple[Floats, NDArray[np.intp]]:
    """Quantiles of the values whose normals lie near each direction, and how many these are."""
    order = np.argsort(values, kind="stable")
    away = (normal[order][None, :] - turns()[:, None] + np.pi / 2) % np.pi - np.pi / 2
    near = np.abs(away) < _HALF_SECTOR
    counts = near.sum(1)
    if len(values) < _FEWEST:
        return np.full((DIRECTIONS, len(shares)), unknown, np.float32), counts
    near[counts < _FEWEST] = True
    rank = near.cumsum(1)
    sought = np.floor(np.array(shares) * (rank[:, -1:] - 1)) + 1
    at = (rank[:, None, :] >= sought[:, :, None]).argmax(2)
    return values[order][at], counts
