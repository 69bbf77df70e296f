"""What a round aperture does to the finest detail: incoherent light, no other fault."""

from __future__ import annotations

WAVELENGTH_UM = 0.55
"""Green, where luma has most of its weight."""

EDGE_FACTOR = 1.33287
"""10–90 % edge width in units of wavelength times f-number.

Integrated from the contrast that a round pupil leaves, (2/π)(arccos u − u √(1 − u²)) with u in
units of the cut-off (Boreman, SPIE TT52, 1.5.1).
"""


def edge_width_um(f_number: float) -> float:
    """10–90 % edge width on the sensor, in µm, of a lens without any other fault."""
    return EDGE_FACTOR * WAVELENGTH_UM * f_number


def f_number_for(edge_um: float) -> float:
    """The f-number whose diffraction alone makes edges this many µm wide on the sensor."""
    return edge_um / (EDGE_FACTOR * WAVELENGTH_UM)
