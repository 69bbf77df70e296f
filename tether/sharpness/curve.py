"""How a file codes light, by name; apart from `tone` so that a reader of names loads no arrays."""

from __future__ import annotations

from enum import StrEnum


class ToneCurve(StrEnum):
    """How a file codes light."""

    SRGB = "sRGB"
    GAMMA_2_2 = "gamma 2.2"
    LINEAR = "linear"
