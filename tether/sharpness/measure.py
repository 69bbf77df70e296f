"""What the pixels of one area say about its sharpness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.model import Cause, Measurement, Rect
from tether.sharpness.cut import MARGIN
from tether.sharpness.sizes import WIDEST_INTERVAL, one_way, tell
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import Traits, traits

Pixels = NDArray[np.uint8] | NDArray[np.uint16]

__all__ = ["FEWEST", "MARGIN", "measure"]

FEWEST = 4
"""Edges without which nothing is said."""

_NOISY = 0.015  # of full scale: from here on it is noise that hides edges of usual contrast
_MOSTLY = 0.5


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
    told, _ = tell(shown, pixels, inner, curve)
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
        note="edges run in too few directions to tell a movement" if one_way(shown) else "",
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
