"""How long a hand can hold a camera still, and how short a movement asks the shutter to be."""

from __future__ import annotations

import math

_BOX_EDGE = 0.8  # 10–90 % of a box of width 1: what a steady straight movement makes of a step


def slowest_handheld_s(equivalent_mm: float) -> float:
    """The slowest shutter time, in s, at which a hand's shake is usually not seen.

    One over twice the focal length in 35 mm terms: 50 mm asks for 1/100 s. Common practice, no
    source; the older rule of one over the focal length was for film looked at in small prints.
    """
    return 1.0 / (2.0 * equivalent_mm)


def equivalent_mm(focal_length_mm: float, pixel_pitch_um: float, long_side_px: int) -> float:
    """Focal length in 35 mm terms: scaled by the 36 mm long side of that format, in mm."""
    return focal_length_mm * 36.0 / (pixel_pitch_um / 1000.0 * long_side_px)


def moved_px(along_px: float, across_px: float) -> float:
    """The way moved, in px, from the edge widths along and across a straight steady movement.

    A way of L px makes edges 0.8 L px wide along it, in squares on top of what they are across.
    """
    return math.sqrt(max(along_px**2 - across_px**2, 0.0)) / _BOX_EDGE


def stilling_s(used_s: float, moved_px: float, allowed_px: float) -> float:
    """The shutter time, in s, in which the same movement goes `allowed_px` px, not `moved_px`.

    Of a steady movement; a hand's shake wavers, and is slower over a short time than this says.
    """
    return used_s * allowed_px / moved_px
