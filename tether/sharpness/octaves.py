"""The area at full, half and quarter size, for blurs too wide to be seen at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.model import Rect
from tether.sharpness.tone import ToneCurve, bits_of, linear

Floats = NDArray[np.float32]

OCTAVES = 3
"""Sizes at which edges are sought: 1, 1/2 and 1/4."""


@dataclass(frozen=True, slots=True)
class Octave:
    """An area at one size.

    `coded` holds the file's values on a scale of 0 to 255 (there the noise is nearly even),
    `light` the light in [0, 1] (there edges have their shape), `clipped` whether a pixel touches
    either end of the scale; all of one shape. `inner` is the area without its margin, and
    `scale` the number of pixels of the file that one pixel here spans.
    """

    coded: Floats
    light: Floats
    clipped: NDArray[np.bool_]
    inner: Rect
    scale: int


def clipping(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> NDArray[np.bool_]:
    """Tell which pixels are at either end of the scale, or within 1/255 of its upper end."""
    top = 254 if bits_of(pixels) == 8 else 254 * 257
    return np.asarray((pixels == 0) | (pixels >= top))


def octaves(
    pixels: NDArray[np.uint8] | NDArray[np.uint16], inner: Rect, curve: ToneCurve
) -> Iterator[Octave]:
    """Yield the area at full, half and quarter size.

    Parameters
    ----------
    pixels
        Luma of the area and its margin, shape (rows, columns).
    inner
        The area within `pixels`, px.
    curve
        How they code light.
    """
    coded = pixels.astype(np.float32)
    if bits_of(pixels) == 16:
        coded *= np.float32(1 / 257)
    octave = Octave(coded, linear(pixels, curve), clipping(pixels), inner, 1)
    yield octave
    for _ in range(OCTAVES - 1):
        octave = _halved(octave)
        yield octave


def _halved(o: Octave) -> Octave:
    coded, light = (_mean_of_four(a) for a in (o.coded, o.light))
    a, b, c, d = (o.clipped[part] for part in _quarters(o.clipped.shape))
    r = o.inner
    x, y = -(-r.x // 2), -(-r.y // 2)
    inner = Rect(x, y, (r.x + r.width) // 2 - x, (r.y + r.height) // 2 - y)
    return Octave(coded, light, a | b | c | d, inner, 2 * o.scale)


def _quarters(shape: tuple[int, ...]) -> list[tuple[slice, slice]]:
    """Slices to the four pixels of every square of four."""
    h, w = (n // 2 * 2 for n in shape)
    return [(slice(y, h, 2), slice(x, w, 2)) for y in (0, 1) for x in (0, 1)]


def _mean_of_four(a: Floats) -> Floats:
    first, *others = _quarters(a.shape)
    out = a[first].copy()
    for part in others:
        out += a[part]
    out *= np.float32(0.25)
    return out
