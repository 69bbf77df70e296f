"""What the pixels of one area say about its sharpness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.model import Cause, Measurement, Rect
from tether.sharpness.direction import LOPSIDED, fit_width
from tether.sharpness.edges import edge_points
from tether.sharpness.interval import judged
from tether.sharpness.noise import pixel_noise
from tether.sharpness.octaves import clipping, octaves
from tether.sharpness.tone import ToneCurve
from tether.sharpness.widths import Widths, widths

MARGIN = 24
"""Pixels of the frame to give around an area, where it has them."""

_POINTS = (160, 96, 64)  # at most, of each octave
FEWEST = 12
# With this many edges, narrower on average than this many px of an octave, no coarser is needed.
_ENOUGH = 60
_WELL_SEEN = 2.5
_NOISY = 0.015  # of full scale: from here on it is noise that hides edges of usual contrast
_MOSTLY = 0.5


def measure(
    pixels: NDArray[np.uint8] | NDArray[np.uint16],
    inner: Rect,
    curve: ToneCurve = ToneCurve.SRGB,
) -> Measurement:
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
    area = pixels[inner.y : inner.y + inner.height, inner.x : inner.x + inner.width]
    clipped = float(np.count_nonzero(clipping(area)) / area.size)
    found, noise = edges_of(pixels, inner, curve)
    edges = len(found.px)
    if edges < FEWEST:
        reason, note = _why_not(noise, clipped)
        return Measurement(None, None, None, reason, noise, edges, clipped, note)
    fit = fit_width(found)
    widest, narrowest, motion = judged(fit, edges)
    note = "edges run in too few directions to tell a movement" if fit.lopsided >= LOPSIDED else ""
    return Measurement(widest, narrowest, motion, None, noise, edges, clipped, note)


def _check(pixels: NDArray[np.generic], inner: Rect) -> None:
    if pixels.ndim != 2:
        raise ValueError(f"pixels must have two dimensions, not {pixels.ndim}")
    rows, columns = pixels.shape
    inside = inner.x >= 0 and inner.y >= 0 and inner.width > 0 and inner.height > 0
    if not inside or inner.x + inner.width > columns or inner.y + inner.height > rows:
        raise ValueError(f"{inner} is not within {columns} x {rows} pixels")


def edges_of(
    pixels: NDArray[np.uint8] | NDArray[np.uint16], inner: Rect, curve: ToneCurve
) -> tuple[Widths, float]:
    """Edges of as many octaves as their widths ask for, and the noise of a pixel."""
    noise: list[float] = []
    found: list[Widths] = []
    for octave, most in zip(octaves(pixels, inner, curve), _POINTS, strict=True):
        r = octave.inner
        noise.append(pixel_noise(octave.coded[r.y : r.y + r.height, r.x : r.x + r.width]))
        found.append(widths(octave, edge_points(octave, most, noise[-1])))
        px = np.concatenate([w.px for w in found])
        if len(px) >= _ENOUGH and np.median(px) < _WELL_SEEN * octave.scale:
            break
    return Widths.joined(found), noise[0]


def _why_not(noise: float, clipped: float) -> tuple[Cause, str]:
    if clipped > _MOSTLY:
        return Cause.NO_DETAIL, f"{clipped:.0%} of the area is clipped to black or white"
    if noise > _NOISY:
        return Cause.TOO_NOISY, "noise hides what edges there are"
    return Cause.NO_DETAIL, "no edges of enough contrast"
