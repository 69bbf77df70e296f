"""What a round aperture does to the finest detail: incoherent light, no other fault."""

from __future__ import annotations

import math

WAVELENGTH_UM = 0.55
"""Green, where luma has most of its weight."""

EDGE_FACTOR = 1.33287
"""10–90 % edge width in units of wavelength times f-number: integrated from `mtf`."""

AIRY_FACTOR = 2.439340
"""Diameter of the Airy disk's first dark ring in the same units: 2 · 3.831706 / π (zero of J1)."""


def edge_width_um(f_number: float) -> float:
    """10–90 % edge width on the sensor, in µm, of a lens without any other fault."""
    return EDGE_FACTOR * WAVELENGTH_UM * f_number


def f_number_for(edge_um: float) -> float:
    """The f-number whose diffraction alone makes edges this many µm wide on the sensor."""
    return edge_um / (EDGE_FACTOR * WAVELENGTH_UM)


def airy_diameter_um(f_number: float) -> float:
    """Diameter of the Airy disk's first dark ring on the sensor, µm."""
    return AIRY_FACTOR * WAVELENGTH_UM * f_number


def cut_off_per_mm(f_number: float) -> float:
    """The frequency, in line pairs a mm on the sensor, from which no contrast is left."""
    return 1000.0 / (WAVELENGTH_UM * f_number)


def mtf(per_mm: float, f_number: float) -> float:
    """Contrast left at a frequency in line pairs a mm on the sensor, 1 at 0.

    (2/π)(arccos u − u √(1 − u²)) with u in units of the cut-off: the autocorrelation of a round
    pupil (Goodman, *Introduction to Fourier Optics*; Boreman, SPIE TT52, 1.5.1).
    """
    u = per_mm / cut_off_per_mm(f_number)
    return (2.0 / math.pi) * (math.acos(u) - u * math.sqrt(1.0 - u * u)) if u < 1.0 else 0.0
