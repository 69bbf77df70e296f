"""What the pixels of one area say about its sharpness."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tether.model import Cause, EdgeWidth, Measurement, Rect
from tether.sharpness.agreement import agreement
from tether.sharpness.interval import Judged, judged
from tether.sharpness.network import calibration
from tether.sharpness.spectra import DIRECTIONS
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import MARGIN, Traits, traits

Pixels = NDArray[np.uint8] | NDArray[np.uint16]

__all__ = ["FEWEST", "MARGIN", "WIDEST_INTERVAL", "measure"]

FEWEST = 12
"""Edges without which nothing is said."""

WIDEST_INTERVAL = 6.0
"""Upper over lower end past which an edge width is no answer."""

_FEW_DIRECTIONS = 5  # with edges, of 12: less than that cannot show a movement
_EDGES_A_DIRECTION = 4
_NOISY = 0.015  # of full scale: from here on it is noise that hides edges of usual contrast
_MOSTLY = 0.5
_SURE_ENOUGH = 3.0  # upper over lower end
_FINE_ENOUGH, _TOO_COARSE = 8.0, 12.0  # px: between them the halved area gains on the whole one

LEAST_HALVED = 64
"""Shorter side of an area, px, under which it is not halved to."""


def measure(pixels: Pixels, inner: Rect, curve: ToneCurve = ToneCurve.SRGB) -> Measurement:
    """Measure the edge width of an area.

    Parameters
    ----------
    pixels
        Luma, uint8 or uint16, shape (rows, columns): the area and, where the frame has them,
        `MARGIN` pixels around it.
    inner
        The area within `pixels`, px.
    curve
        How the pixels code light.

    Returns
    -------
    Measurement
        The 10–90 % rise distance (ISO 12233) of an ideal step imaged as this area was, in px,
        for the widest and the narrowest direction. The same pixels give the same numbers.

    Raises
    ------
    TypeError
        If the pixels are neither uint8 nor uint16.
    ValueError
        If they are not two-dimensional, or `inner` is empty or not within them.
    """
    _check(pixels, inner)
    shown = traits(pixels, inner, curve)
    edges = len(shown.found.px)
    if edges < FEWEST:
        return _unjudged(shown, "noise hides what edges there are", "no edges of enough contrast")
    few = _few_directions(shown)
    share, agreed = agreement(shown.found)
    told = Judged(agreed, agreed, 0.0, 0.0)
    if share < 1:
        learnt = _judged(shown, pixels, inner, curve, few)
        told = Judged(
            _between(learnt.widest, agreed, share),
            _between(learnt.narrowest, agreed, share),
            (1 - share) * learnt.moved,
            learnt.angle_deg,
        )
    span = told.widest.hi / told.widest.lo
    if span > WIDEST_INTERVAL:
        loose = f"edges tell their width only within a factor of {span:.1f}"
        return _unjudged(shown, loose, loose)
    return Measurement(
        widest=told.widest,
        narrowest=told.narrowest,
        motion=told.motion,
        reason=None,
        noise=shown.noise,
        edges=edges,
        clipped=shown.clipped,
        note="edges run in too few directions to tell a movement" if few else "",
    )


def _check(pixels: NDArray[np.generic], inner: Rect) -> None:
    if pixels.ndim != 2:
        raise ValueError(f"pixels must have two dimensions, not {pixels.ndim}")
    rows, columns = pixels.shape
    inside = inner.x >= 0 and inner.y >= 0 and inner.width > 0 and inner.height > 0
    if not inside or inner.x + inner.width > columns or inner.y + inner.height > rows:
        raise ValueError(f"{inner} is not within {columns} x {rows} pixels")


def _unjudged(shown: Traits, noisy: str, plain: str) -> Measurement:
    reason, note = Cause.NO_DETAIL, plain
    if shown.clipped > _MOSTLY:
        note = f"{shown.clipped:.0%} of the area is clipped to black or white"
    elif shown.noise > _NOISY:
        reason, note = Cause.TOO_NOISY, noisy
    edges = len(shown.found.px)
    return Measurement(None, None, None, reason, shown.noise, edges, shown.clipped, note)


def _few_directions(shown: Traits) -> bool:
    sector = np.floor(shown.found.normal * (DIRECTIONS / np.pi)).astype(np.intp) % DIRECTIONS
    edges = np.bincount(sector, minlength=DIRECTIONS)
    return int((edges >= _EDGES_A_DIRECTION).sum()) < _FEW_DIRECTIONS


def _judged(shown: Traits, pixels: Pixels, inner: Rect, curve: ToneCurve, few: bool) -> Judged:
    """Judge an area, and a wide blur at half its size, where it is as plain as a narrow one."""
    told = judged(shown, calibration(), few)
    share = share_of_halved(told.widest)
    if share == 0 or min(inner.width, inner.height) < 2 * LEAST_HALVED:
        return told
    half, within = halved(pixels, inner)
    coarse = _judged(traits(half, within, curve), half, within, curve, few)
    share *= surer(told.widest, coarse.widest)
    return Judged(
        _between(told.widest, _doubled(coarse.widest), share),
        _between(told.narrowest, _doubled(coarse.narrowest), share),
        (1 - share) * told.moved + share * coarse.moved,
        coarse.angle_deg if share > 0.5 else told.angle_deg,
    )


def surer(fine: EdgeWidth, coarse: EdgeWidth) -> float:
    """Weight of the width at half size against that at full size, by their intervals: 0 to 1.

    Past what pixels of this size were calibrated on the full size counts for less and less.
    """
    precise, other = (1 / math.log(w.hi / w.lo) ** 2 for w in (fine, coarse))
    precise *= min(1.0, _TOO_COARSE / fine.px) ** 4
    return other / (precise + other)


def share_of_halved(width: EdgeWidth) -> float:
    """How much the area at half its size counts: 0 to 1, by how wide or how unsure a width is."""
    wide = _along(width.px, _FINE_ENOUGH, _TOO_COARSE)
    return max(wide, _along(width.hi / width.lo, _SURE_ENOUGH, WIDEST_INTERVAL))


def _along(value: float, low: float, high: float) -> float:
    return min(max(math.log(value / low) / math.log(high / low), 0.0), 1.0)


def halved(pixels: Pixels, inner: Rect) -> tuple[NDArray[np.uint16], Rect]:
    """Means of four pixels as uint16, and the area's place among them."""
    rows, columns = (n // 2 for n in pixels.shape)
    four = pixels[: 2 * rows, : 2 * columns].reshape(rows, 2, columns, 2).astype(np.uint32)
    scale = 257 if pixels.dtype == np.uint8 else 1
    half = ((four.sum((1, 3)) * scale + 2) // 4).astype(np.uint16)
    x, y = -(-inner.x // 2), -(-inner.y // 2)
    right, bottom = (inner.x + inner.width) // 2, (inner.y + inner.height) // 2
    return half, Rect(x, y, right - x, bottom - y)


def _doubled(width: EdgeWidth) -> EdgeWidth:
    return EdgeWidth(2 * width.px, 2 * width.lo, 2 * width.hi)


def _between(one: EdgeWidth, other: EdgeWidth, share: float) -> EdgeWidth:
    """Geometric mean, in which the other has a share."""
    pairs = ((one.px, other.px), (one.lo, other.lo), (one.hi, other.hi))
    return EdgeWidth(*(a ** (1 - share) * b**share for a, b in pairs))
