"""Light coded as most pictures code it, and pictures of high dynamic range coded anew that way."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tether.frame.pixels import Luma
from tether.sharpness.curve import ToneCurve

Doubles = NDArray[np.float64]

_STEPS = 65535
_PQ, _HLG = 16, 18  # transfer characteristics of ITU-T H.273, table 3
# Brighter light is taken for white: in pictures it is lamps and glints, and a scale up to the
# 10,000 cd/m² of the standard would leave everything else dark.
_WHITE_CD_M2 = 1000.0


def coded(light: NDArray[np.float32]) -> NDArray[np.uint16]:
    """Code light, 1 at the white level, on the curve of IEC 61966-2-1 in 16 bits."""
    at = np.clip(light * np.float32(_STEPS) + np.float32(0.5), 0, _STEPS).astype(np.uint16)
    return np.asarray(_srgb()[at])


def coded_anew(luma: Luma, transfer: int | None) -> tuple[Luma, ToneCurve | None]:
    """Code luma as sRGB where its transfer characteristics (ITU-T H.273) are PQ or HLG.

    Returns
    -------
    tuple
        The luma, and its curve; as it was, and None, with other characteristics.
    """
    if transfer not in {_PQ, _HLG}:
        return luma, None
    sixteen = luma if luma.dtype == np.uint16 else luma.astype(np.uint16) * np.uint16(257)
    return np.asarray(_high_range(transfer)[sixteen]), ToneCurve.SRGB


@cache
def _high_range(transfer: int) -> NDArray[np.uint16]:
    value = np.arange(_STEPS + 1) / _STEPS
    light = _pq(value) / _WHITE_CD_M2 if transfer == _PQ else _hlg(value)
    return coded(light.astype(np.float32))


def _pq(value: Doubles) -> Doubles:
    """Cd/m² of a coded value, by ITU-R BT.2100, table 4."""
    root = value ** (32 / 2523)
    above = np.maximum(root - 3424 / 4096, 0)
    light = (above / (2413 / 128 - 2392 / 128 * root)) ** (16384 / 2610)
    return np.asarray(10_000 * light)


def _hlg(value: Doubles) -> Doubles:
    """Light in [0, 1] of a coded value, by the inverse of ITU-R BT.2100, table 5's first part."""
    a = 0.17883277
    b, c = 1 - 4 * a, 0.5 - a * np.log(4 * a)
    return np.where(value <= 0.5, value**2 / 3, (np.exp((value - c) / a) + b) / 12)


@cache
def _srgb() -> NDArray[np.uint16]:
    light = np.arange(_STEPS + 1) / _STEPS
    value = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(_STEPS * value), np.uint16)
