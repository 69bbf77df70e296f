"""What an eye can tell on a print or a screen, in px of the picture."""

from __future__ import annotations

import math

ACUITY_RAD = math.radians(1 / 60)
"""One minute of arc: the gap of the Landolt ring that stands for visual acuity 1 (ISO 8596)."""


def acuity_mm(distance_mm: float) -> float:
    """The finest gap, in mm, that an eye of acuity 1 tells at a distance, in mm."""
    return 2.0 * distance_mm * math.tan(ACUITY_RAD / 2.0)


def print_edge_px(long_side_px: int, print_mm: float, distance_mm: float) -> float:
    """The 10–90 % edge width, in px of the picture, that passes for a step on a print.

    Parameters
    ----------
    long_side_px
        Long side of the picture, px.
    print_mm
        Long side of the print of the whole picture, mm.
    distance_mm
        From the eye to the print, mm.

    Notes
    -----
    One minute of arc across the edge. The finest stripes that acuity 1 tells are a minute dark and
    a minute light, 30 a degree. For defocus, movement and lens alike the product of edge width and
    the frequency of half contrast is 0.48 (0.480 for a Gaussian, 0.483 for a box, 0.484 for a
    disk), so an edge a minute wide comes with half contrast at 29 stripes a degree: what the eye
    can tell is there at half contrast, and a narrower edge gives it little more.
    """
    return acuity_mm(distance_mm) * long_side_px / print_mm


def screen_edge_px(long_side_px: int, shown_px: int) -> float:
    """The 10–90 % edge width, in px of the picture, that passes for a step on a screen.

    One px of the screen: by the same product that leaves half contrast at 0.48 stripes a px, and
    no screen shows more than half a stripe a px. `shown_px` is the picture's long side as shown.
    """
    return long_side_px / shown_px
