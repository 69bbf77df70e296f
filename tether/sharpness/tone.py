"""From the coded values of a file to light."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.curve import ToneCurve

__all__ = ["ToneCurve", "bits_of", "linear", "table"]


_ADOBE_GAMMA = 563 / 256


@cache
def table(curve: ToneCurve, bits: int) -> NDArray[np.float32]:
    """Light of every coded value.

    Parameters
    ----------
    curve
        The curve: sRGB of IEC 61966-2-1, the 563/256 power of Adobe RGB (1998), or none.
    bits
        Bits of a coded value, 8 or 16.

    Returns
    -------
    ndarray
        float32, shape (2**bits,), from 0 to 1, read only.
    """
    coded = np.arange(2**bits, dtype=np.float64) / (2**bits - 1)
    if curve is ToneCurve.SRGB:
        light = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    elif curve is ToneCurve.GAMMA_2_2:
        light = coded**_ADOBE_GAMMA
    else:
        light = coded
    out: NDArray[np.float32] = np.asarray(light, np.float32)
    out.flags.writeable = False
    return out


def bits_of(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> int:
    """Bits of a pixel, 8 or 16.

    Raises
    ------
    TypeError
        If the pixels are neither uint8 nor uint16.
    """
    if pixels.dtype not in (np.uint8, np.uint16):
        raise TypeError(f"pixels must be uint8 or uint16, not {pixels.dtype}")
    return 8 * pixels.dtype.itemsize


def linear(
    coded: NDArray[np.uint8] | NDArray[np.uint16], curve: ToneCurve = ToneCurve.SRGB
) -> NDArray[np.float32]:
    """Turn coded values into light.

    Parameters
    ----------
    coded
        uint8 or uint16, any shape.
    curve
        How they code light.

    Returns
    -------
    ndarray
        float32 of the same shape, in [0, 1].

    Raises
    ------
    TypeError
        If the values are neither uint8 nor uint16.
    """
    light = np.empty(coded.shape, np.float32)
    # No value is out of range; saying so spares a copy.
    np.take(table(curve, bits_of(coded)), coded, out=light, mode="clip")
    return light
