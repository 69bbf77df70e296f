"""From what a picture is for to the edge width that it allows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tether.model import Exposure, Pixels, Print, Purpose
from tether.optics import floor, viewing


@dataclass(frozen=True, slots=True)
class Limit:
    """The widest edge, 10–90 % in px, that counts as sharp, and in a line where it comes from."""

    px: float
    why: str


@dataclass(frozen=True, slots=True)
class Leeway:
    """The session's limit as times the one of the settings, and the frame that it was fed by."""

    times: float
    frame: str


def fed(limit: Limit, leeway: Leeway | None) -> Limit:
    """The limit as the photographer's word on an earlier frame has it."""
    if leeway is None:
        return limit
    # To hundredths of a px, as every limit, on the side of the frame that it was fed by.
    hundredths = 100 * limit.px * leeway.times
    px = (math.ceil(hundredths) if leeway.times >= 1 else math.floor(hundredths)) / 100
    why = (
        f"{limit.why}; {leeway.times:.2f} times that, {px:.1f} px, as {leeway.frame} was overruled"
    )
    return Limit(px, why)


def allowed(purpose: Purpose, long_side_px: int, exposure: Exposure) -> Limit:
    """Turn a purpose into the limit for one frame whose long side has `long_side_px` px.

    limit² = purpose² + floor²

    `purpose` is the edge width that passes for a step there: one minute of arc on a print, one px
    of a screen (`optics.viewing`). `floor` is what this camera makes of a step with nothing wrong:
    pixel, lens, and the diffraction of this f-number as far as it cannot be helped
    (`optics.floor`).

    Blurs add in squares. So what the limit leaves for focus and movement is the purpose's own
    width, whatever the camera: where the purpose is coarse the floor hardly counts, and where it
    is finer than the camera a frame with nothing wrong is still within the limit. A limit of the
    purpose alone would call every such frame soft, and nobody could do anything about it.

    A purpose given in px is the limit itself, floor and all, as it is measured.
    """
    least = floor.floor_px(long_side_px, exposure.f_number, exposure.pixel_pitch_um)
    if isinstance(purpose, Pixels):
        short = purpose.edge_width < least
        but = f"; pixel and lens alone make {least:.1f} px" if short else ""
        return Limit(purpose.edge_width, f"{purpose.edge_width:.1f} px: set as edge_width_px{but}")
    if isinstance(purpose, Print):
        px = viewing.print_edge_px(
            long_side_px, 10 * purpose.long_side_cm, 10 * purpose.distance_cm
        )
        size, distance = f"{purpose.long_side_cm:g}", f"{purpose.distance_cm:g}"
        seen = f"print {size} cm long seen from {distance} cm allows {px:.1f} px (1 arcmin)"
        # Its pixels are seen one by one there: no lens and no care makes that up.
        many = f"; {long_side_px} px are few for it, {math.ceil(long_side_px / px)} would do"
        few = many if px < 1 else ""
    else:
        px = viewing.screen_edge_px(long_side_px, purpose.long_side_px)
        seen = f"screen {purpose.long_side_px} px long allows {px:.1f} px (1 px there)"
        few = ""
    # As it is shown, so that nobody sees a frame at its limit and reads that it is beyond.
    limit = round(math.hypot(px, least), 2)
    lacking = _lacking(exposure)
    return Limit(
        limit,
        f"{limit:.1f} px: {seen}, pixel and lens make {least:.1f} px, added as squares"
        f"{lacking}{few}",
    )


def _lacking(exposure: Exposure) -> str:
    """What the file does not tell, without which diffraction is left out."""
    if not exposure.f_number:
        return " (f-number unknown)"
    return "" if exposure.pixel_pitch_um else " (pixel pitch unknown)"
