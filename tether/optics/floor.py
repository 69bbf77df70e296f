"""How wide edges are, in px, in a picture with nothing wrong: pixel, lens and diffraction.

Blurs that follow one another add in squares (exact for the variances of their spreads; within 6 %
for 10–90 % edge widths of boxes, disks and Gaussians together).
"""

from __future__ import annotations

import math

from tether.optics import diffraction

PIXEL_PX = 0.8
"""10–90 % of the box that a pixel's light-sensitive face is, at most 1 px wide."""

INTERPOLATION_PX = 1.28
"""Colours between the pixels of a Bayer mosaic, filled in from their neighbours.

Half of the green pixels are there; the other half as the mean of their four neighbours spread by a
variance of ½ px² along each axis. That is ¼ px² on average, and 2.563 √¼ = 1.28 px. Clever
interpolation does better, red and blue do worse, and an optical low-pass filter adds about as much.
"""

LENS_LINES = 7200
"""Edges that a good lens sets side by side along the frame's long side: common practice, no source.

A 10–90 % edge width of 5 µm in a frame of 36 mm, half contrast near 96 line pairs a mm; smaller
formats have lenses that much finer.
"""


def camera_px(long_side_px: int) -> float:
    """Edge width, in px, of a perfectly focused picture at an aperture worth using."""
    return math.hypot(PIXEL_PX, INTERPOLATION_PX, long_side_px / LENS_LINES)


def diffraction_px(f_number: float | None, pixel_pitch_um: float | None) -> float:
    """Edge width that diffraction alone makes, px; 0 where f-number or pixel pitch is unknown."""
    if not f_number or not pixel_pitch_um:
        return 0.0
    return diffraction.edge_width_um(f_number) / pixel_pitch_um


def focused_px(long_side_px: int, f_number: float | None, pixel_pitch_um: float | None) -> float:
    """Edge width, in px, of a perfectly focused and still picture at this f-number."""
    return math.hypot(camera_px(long_side_px), diffraction_px(f_number, pixel_pitch_um))


def floor_px(long_side_px: int, f_number: float | None, pixel_pitch_um: float | None) -> float:
    """The part of `focused_px` that nobody can help.

    Diffraction counts as far as it is no wider than all the rest. Beyond, it is the aperture that
    makes the picture soft, and that can be opened.
    """
    camera = camera_px(long_side_px)
    return math.hypot(camera, min(diffraction_px(f_number, pixel_pitch_um), camera))
