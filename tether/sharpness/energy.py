"""A measure that ranks frames of one subject: it has one peak over a focus bracket.

Edge width says how sharp a frame is, whatever it shows; of two frames of the same thing,
the one with more fine contrast is the sharper, and that is seen more finely.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.model import Rect
from tether.sharpness.octaves import octaves
from tether.sharpness.spectra import block_spectra
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import blocks_of

_BANDS = slice(1, 6)  # 0.22 to 1.25 rad/px: below lies shading, above lies noise


def energy(
    pixels: NDArray[np.uint8] | NDArray[np.uint16],
    inner: Rect,
    curve: ToneCurve = ToneCurve.SRGB,
) -> float:
    """Fine contrast of an area, for ranking frames of one subject.

    Parameters
    ----------
    pixels
        Luma, uint8 or uint16, shape (rows, columns), the area with its margin.
    inner
        The area within `pixels`, px.
    curve
        How they code light.

    Returns
    -------
    float
        Power in light between 0.22 and 1.25 rad/px, less that of noise (told from the finest
        band, where blur leaves nothing else), over the square of the mean light. No unit.
    """
    light = blocks_of(next(octaves(pixels, inner, curve)).light, inner)
    mean = float(light.mean())
    if mean <= 0:
        return 0.0
    power = block_spectra(light * np.float32(255 / mean)).mean((0, 1))
    noise = float(power[-1])
    return float(np.maximum(power[_BANDS] - noise, 0).sum()) / 255**2
