"""Between light and the coded values of a file (IEC 61966-2-1, sRGB)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]
Pixels = NDArray[np.uint8]

_STEPS = 1 << 14


def as_field(values: Any) -> Field:
    """Return an array in the precision that all light is kept in."""
    return np.asarray(values, np.float32)


def to_linear(coded: NDArray[Any]) -> Field:
    """Return the linear light of sRGB-coded values, both in 0 to 1."""
    v = np.asarray(coded, np.float32)
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4).astype(np.float32)


def to_coded(linear: NDArray[Any]) -> Field:
    """Return the sRGB-coded values of linear light, both in 0 to 1; light beyond is clipped."""
    v = np.clip(np.asarray(linear, np.float32), 0, 1)
    return np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055).astype(np.float32)


_TABLE: Pixels = np.round(255 * to_coded(np.arange(_STEPS) / (_STEPS - 1))).astype(np.uint8)


def to_bytes(linear: Field) -> Pixels:
    """Return 8-bit sRGB of linear light; `linear` is used up as working space."""
    np.clip(linear, 0, 1, out=linear)
    linear *= _STEPS - 1
    linear += 0.5
    return _TABLE[linear.astype(np.uint16)]


def paint(code: str) -> Field:
    """Return the linear light, shape (3,), of a colour written as six hexadecimal digits."""
    return to_linear(np.frombuffer(bytes.fromhex(code), np.uint8) / 255)
