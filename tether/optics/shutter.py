"""How long a hand can hold a camera still."""

from __future__ import annotations


def slowest_handheld_s(equivalent_mm: float) -> float:
    """The slowest shutter time, in s, at which a hand's shake is usually not seen.

    One over twice the focal length in 35 mm terms: 50 mm asks for 1/100 s. Common practice, no
    source; the older rule of one over the focal length was for film looked at in small prints.
    """
    return 1.0 / (2.0 * equivalent_mm)


def equivalent_mm(focal_length_mm: float, pixel_pitch_um: float, long_side_px: int) -> float:
    """Focal length in 35 mm terms: scaled by the 36 mm long side of that format, in mm."""
    return focal_length_mm * 36.0 / (pixel_pitch_um / 1000.0 * long_side_px)
