"""An area told at full size, at half where that is unsure, and by its edges where they agree."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tether.model import EdgeWidth, Rect
from tether.sharpness.agreement import agreement
from tether.sharpness.interval import Judged, judged
from tether.sharpness.network import calibration
from tether.sharpness.spectra import DIRECTIONS
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import Pixels, Traits, traits

WIDEST_INTERVAL = 7.0
"""Upper over lower end past which an edge width is no answer."""

_SURE_ENOUGH = 3.0  # upper over lower end
_FINE_ENOUGH, _TOO_COARSE = 8.0, 12.0  # px: between them the halved area gains on the whole one
_LEAST_HALVED = 64  # px, shorter side of an area at half size
_FEW_DIRECTIONS = 5  # with edges, of 12: less than that cannot show a movement
_EDGES_A_DIRECTION = 4


def tell(shown: Traits, pixels: Pixels, inner: Rect, curve: ToneCurve) -> tuple[Judged, float]:
    """Tell an area's edge widths from what it shows, and from the area at half size.

    Parameters
    ----------
    shown
        What the area shows, at least one edge.
    pixels, inner, curve
        What it was looked at in; see `tether.sharpness.traits.traits`.

    Returns
    -------
    tuple of Judged and float
        The widths, and the share of them, 0 to 1, that comes from half size or smaller.
    """
    share, width = agreement(shown.found)
    every = np.log([[width.px], [width.lo], [width.hi]]).repeat(DIRECTIONS, 1)
    agreed = Judged(width, width, 0.0, 0.0, every)
    if share == 1:
        return agreed, 0.0
    learnt, halved = _at_sizes(shown, pixels, inner, curve, one_way(shown))
    return _joined(learnt, agreed, share), (1 - share) * halved


def one_way(shown: Traits) -> bool:
    """Whether edges run in too few directions for a movement to show."""
    sector = np.floor(shown.found.normal * (DIRECTIONS / np.pi)).astype(np.intp) % DIRECTIONS
    edges = np.bincount(sector, minlength=DIRECTIONS)
    return int((edges >= _EDGES_A_DIRECTION).sum()) < _FEW_DIRECTIONS


def _at_sizes(
    shown: Traits, pixels: Pixels, inner: Rect, curve: ToneCurve, few: bool
) -> tuple[Judged, float]:
    told = judged(shown, calibration(), few)
    share = _share_of_half(told.widest)
    if share == 0 or min(inner.width, inner.height) < 2 * _LEAST_HALVED:
        return told, 0.0
    half, within = _halved(pixels, inner)
    coarse, _ = _at_sizes(traits(half, within, curve), half, within, curve, few)
    share *= _surer(told.widest, coarse.widest)
    return _joined(told, _doubled(coarse), share), share


def _share_of_half(width: EdgeWidth) -> float:
    """How much the area at half its size counts: 0 to 1, by how wide or how unsure a width is."""
    wide = _along(width.px, _FINE_ENOUGH, _TOO_COARSE)
    return max(wide, _along(width.hi / width.lo, _SURE_ENOUGH, WIDEST_INTERVAL))


def _along(value: float, low: float, high: float) -> float:
    return min(max(math.log(value / low) / math.log(high / low), 0.0), 1.0)


def _surer(fine: EdgeWidth, coarse: EdgeWidth) -> float:
    """Weight of the width at half size against that at full size, by their intervals: 0 to 1.

    Past what pixels of this size were calibrated on the full size counts for less and less.
    """
    precise, other = (1 / math.log(w.hi / w.lo) ** 2 for w in (fine, coarse))
    precise *= min(1.0, _TOO_COARSE / fine.px) ** 4
    return other / (precise + other)


def _halved(pixels: Pixels, inner: Rect) -> tuple[NDArray[np.uint16], Rect]:
    """Means of four pixels as uint16, and the area's place among them."""
    rows, columns = (n // 2 for n in pixels.shape)
    four = pixels[: 2 * rows, : 2 * columns].reshape(rows, 2, columns, 2).astype(np.uint32)
    scale = 257 if pixels.dtype == np.uint8 else 1
    half = ((four.sum((1, 3)) * scale + 2) // 4).astype(np.uint16)
    x, y = -(-inner.x // 2), -(-inner.y // 2)
    right, bottom = (inner.x + inner.width) // 2, (inner.y + inner.height) // 2
    return half, Rect(x, y, right - x, bottom - y)


def _doubled(half: Judged) -> Judged:
    """Widths told at half size, in pixels of the full size."""
    widest, narrowest = (
        EdgeWidth(2 * w.px, 2 * w.lo, 2 * w.hi) for w in (half.widest, half.narrowest)
    )
    directions = half.directions + math.log(2)
    return Judged(widest, narrowest, half.moved, half.angle_deg, directions)


def _joined(one: Judged, other: Judged, share: float) -> Judged:
    """Geometric means, in which the other has a share."""
    return Judged(
        _between(one.widest, other.widest, share),
        _between(one.narrowest, other.narrowest, share),
        (1 - share) * one.moved + share * other.moved,
        other.angle_deg if share > 0.5 else one.angle_deg,
        (1 - share) * one.directions + share * other.directions,
    )


def _between(one: EdgeWidth, other: EdgeWidth, share: float) -> EdgeWidth:
    pairs = ((one.px, other.px), (one.lo, other.lo), (one.hi, other.hi))
    return EdgeWidth(*(a ** (1 - share) * b**share for a, b in pairs))
