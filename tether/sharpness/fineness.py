"""How much of an area's contrast is fine: a second witness to its edge width."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from tether.model import Rect
from tether.sharpness.tone import bits_of

_FINE, _COARSE = 1.4, 5.6  # px, standard deviations of the Gaussians
_REACH = 4.0  # standard deviations that the filters look
_RISE = 2.563103  # 10–90 % rise of a step blurred by a Gaussian, over its standard deviation
_TOLERATED = 2.5


def fineness(
    pixels: NDArray[np.uint8] | NDArray[np.uint16], inner: Rect, noise: float
) -> float | None:
    """Mean squared gradient at a fine scale over that at a coarse one, without noise's own.

    Edges count here by their contrast and noise is told from the whole area, so that this is not
    misled where profiles are: by noise in an area blurred until no edge is left. It says less of
    the width: lines and texture are finer than a step.

    Parameters
    ----------
    pixels
        Luma, uint8 or uint16, shape (rows, columns): the area and what is around it.
    inner
        The area within `pixels`, px.
    noise
        Standard deviation of a pixel, as a fraction of full scale.

    Returns
    -------
    float or None
        For a step blurred by a Gaussian of standard deviation b px it is
        √((5.6² + b²) / (1.4² + b²)): 4 where it is sharp, 1 where it is lost. None where nothing
        but noise is left.
    """
    reach = math.ceil(_REACH * _COARSE)
    top, left = max(inner.y - reach, 0), max(inner.x - reach, 0)
    part = pixels[top : inner.y + inner.height + reach, left : inner.x + inner.width + reach]
    coded = part.astype(np.float32) / np.float32(2 ** bits_of(pixels) - 1)
    area = np.s_[
        inner.y - top : inner.y - top + inner.height,
        inner.x - left : inner.x - left + inner.width,
    ]
    fine, coarse = (_energy(coded, area, scale, noise) for scale in (_FINE, _COARSE))
    return fine / coarse if fine > 0 and coarse > 0 else None


def borne_out(px: float, fine: float | None) -> bool:
    """Whether an area is as fine as an edge width of `px` asks, or 2.5 times as wide a one.

    On parts of a portrait blurred by disks of up to 100 px, those read rightly and under 6 px wide
    had at least 2.3, those where noise was read for edges at most 1.7.
    """
    spread = _TOLERATED * px / _RISE
    return fine is not None and fine >= _of_step(spread)


def _of_step(spread: float) -> float:
    return math.sqrt((_COARSE**2 + spread**2) / (_FINE**2 + spread**2))


def _energy(
    coded: NDArray[np.float32], area: tuple[slice, slice], scale: float, noise: float
) -> float:
    across, down = (
        ndimage.gaussian_filter(coded, scale, order=order, truncate=_REACH)[area]
        for order in ((0, 1), (1, 0))
    )
    # White noise through one derivative of a Gaussian: the integral of its square is 1/(8π s⁴).
    of_noise = 2 * noise**2 / (8 * math.pi * scale**4)
    return float(np.mean(across * across + down * down)) - of_noise
