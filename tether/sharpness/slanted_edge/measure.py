"""One slanted edge, from light to its spatial frequency response."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.slanted_edge.certainty import standard_error
from tether.sharpness.slanted_edge.evenness import check_clipping, check_evenness
from tether.sharpness.slanted_edge.line import Line, is_level
from tether.sharpness.slanted_edge.response import response
from tether.sharpness.slanted_edge.result import SlantedEdge
from tether.sharpness.slanted_edge.settle import settled
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

SMALLEST = 20
"""Pixels that an area must have along either side."""

_OWN_ERROR = 0.002  # of MTF50: without noise, at a slope of 1/2, which meets the fewest phases
_MOST_UNSURE = 0.06  # beyond, the interval is no longer to be trusted


def slanted_edge(
    light: NDArray[np.floating],
    *,
    pixel_pitch_um: float | None = None,
    picture_height_px: int | None = None,
    diffraction_px: float = 0.0,
    coding_error: float = 0.0,
    scale: tuple[float, float] = (0.0, 1.0),
) -> SlantedEdge:
    """Measure the spatial frequency response across one edge.

    Parameters
    ----------
    light
        Linear light, float, shape (rows, columns), at least 20 x 20: an area that holds one
        straight edge between two even plateaus, nearly upright or nearly level but tilted by at
        least a pixel over its length; about 5 degrees and 100 x 100 px are good. On either side
        of the edge 2.5 times its rise is needed, and six times is better.
    pixel_pitch_um
        Pixel pitch, µm, for frequencies in LP/mm.
    picture_height_px
        Height of the whole picture, px, for frequencies in LW/PH.
    diffraction_px
        λN over the pixel pitch, where the f-number is known. Diffraction's shadow reaches far
        into the plateaus; unknown, it makes MTF50 of a perfect lens read 1–3 % too high.
    coding_error
        Relative standard error of MTF50 that the file's coding brings: 0 for raw light; 0.015 for
        JPEG of quality 95, which flattens the foot of an edge and makes it read 1 to 2 % sharper.
    scale
        Black and white of `light`. Values at or beyond either are clipped; (-inf, inf) if none
        can be.

    Returns
    -------
    SlantedEdge
        The response along the edge's normal, with its MTF50 and 10–90 % rise.

    Raises
    ------
    TypeError
        If the light is not float.
    ValueError
        If it has not two dimensions, or a pitch, height, diffraction, coding error or scale makes
        no sense.
    UnfitEdge
        If the area does not show one edge that can be measured: a ValueError that names the
        reason.

    Notes
    -----
    ISO 12233, edge-based response; the package's docstring says which edition each step follows,
    and `tests.benchmarks.accuracy_slanted` how well it does.
    """
    _check_numbers(pixel_pitch_um, picture_height_px, diffraction_px, coding_error, scale)
    _check_light(light)
    area = np.ascontiguousarray(light, np.float64)
    level = is_level(area)
    upright = np.ascontiguousarray(area.T) if level else area
    found = settled(upright, diffraction_px)
    check_clipping(upright, found.line, found.begin, scale)
    check_evenness(
        found.plateaus.normalised(upright, found.line),
        found.line,
        found.begin,
        found.plateaus.noise / abs(found.plateaus.height),
    )
    result = response(found.spread, found.reach)
    by_pixels = standard_error(
        found.spread.influence(result.gradient),
        found.spread.residual,
        found.row,
        found.spread.parameters,
    )
    by_height = result.by_height * found.plateaus.height_error
    by_noise = math.hypot(by_pixels, by_height)
    error = math.hypot(by_noise, _OWN_ERROR * result.mtf50, coding_error * result.mtf50)
    if by_noise > _MOST_UNSURE * result.mtf50:
        raise UnfitEdge(
            Unfit.LOW_CONTRAST,
            f"noise leaves MTF50 uncertain by {by_noise / result.mtf50:.0%} (one standard error); "
            f"{_MOST_UNSURE:.0%} are allowed: take a longer edge, more contrast or a lower ISO",
        )
    return SlantedEdge(
        angle_deg=_angle(found.line, level),
        frequencies=result.frequencies,
        response=result.response,
        mtf50=result.mtf50,
        mtf50_error=error,
        rise_10_90_px=found.rise,
        contrast=abs(found.plateaus.height),
        noise=found.plateaus.noise,
        pixel_pitch_um=pixel_pitch_um,
        picture_height_px=picture_height_px,
    )


def _check_numbers(
    pixel_pitch_um: float | None,
    picture_height_px: int | None,
    diffraction_px: float,
    coding_error: float,
    scale: tuple[float, float],
) -> None:
    for name, value in (("pixel pitch", pixel_pitch_um), ("picture height", picture_height_px)):
        if value is not None and not (value > 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be positive, not {value:g}")
    if not (diffraction_px >= 0 and math.isfinite(diffraction_px)):
        raise ValueError(f"diffraction must be 0 px or more, not {diffraction_px:g}")
    if not (coding_error >= 0 and math.isfinite(coding_error)):
        raise ValueError(f"coding error must be 0 or more, not {coding_error:g}")
    if not scale[0] < scale[1]:
        raise ValueError(f"black {scale[0]:g} must lie below white {scale[1]:g}")


def _check_light(light: NDArray[np.floating]) -> None:
    if not np.issubdtype(light.dtype, np.floating):
        raise TypeError(f"light must be float, not {light.dtype}")
    if light.ndim != 2:
        raise ValueError(f"light must have two dimensions, not {light.ndim}")
    rows, columns = light.shape
    if min(rows, columns) < SMALLEST:
        raise UnfitEdge(
            Unfit.TOO_SMALL,
            f"the area is {columns} x {rows} px; {SMALLEST} x {SMALLEST} are needed",
        )
    if not np.isfinite(light).all():
        raise UnfitEdge(Unfit.NOT_FINITE, "the area holds values that are not finite")


def _angle(line: Line, level: bool) -> float:
    """Direction of the edge in the image as given; rows run down, angles counter-clockwise."""
    tilt = math.degrees(math.atan(line.slope))
    return -tilt % 180 if level else 90 + tilt
