"""Advice on the f-number: closed too far, too wide for the subject, or not the lens's best."""

from __future__ import annotations

import math
import re

from tether.optics import depth as field
from tether.optics import diffraction as airy
from tether.optics import floor, stops
from tether.verdict.advice.words import seen, stop
from tether.verdict.facts import Facts

_FAST = 2.8  # slower lenses are made to be used wide open: common practice, no source
_OPEN = 1.7  # times its widest f-number, a stop and a half: still as good as wide open
_HARDLY = 0.5  # of the camera's own width: in squares an eighth on top of it
_ENOUGH = 0.95  # of the f-number used: less than a sixth of a stop is no change


def out_of_reach(facts: Facts) -> tuple[str, ...]:
    """The limit is narrower than this camera's pixels and lens make any edge."""
    least = floor.floor_px(
        facts.long_side_px, facts.exposure.f_number, facts.exposure.pixel_pitch_um
    )
    if facts.limit_px >= least or facts.widths[0].lo > least:
        return ()
    return (
        f"Set the limit to {math.ceil(10 * least) / 10:.1f} px or more; focus may be right.",
        f"{seen(facts)}; pixel and lens alone make them {least:.1f} px.",
    )


def diffraction(facts: Facts) -> tuple[str, ...]:
    """Edges are as wide as the aperture makes them when everything else is right."""
    used, pitch = facts.exposure.f_number, facts.exposure.pixel_pitch_um
    camera = floor.camera_px(facts.long_side_px)
    alone = floor.diffraction_px(used, pitch)
    if not used or not pitch or alone < camera:
        return ()
    focused = facts.focused_px(used)
    best = facts.around.sharpest if facts.around else None
    if facts.widths[0].lo > focused or (best is not None and best[1].hi < focused):
        return ()
    # Where the limit leaves hardly any room, no wider than until diffraction hardly counts.
    room = max(math.sqrt(max(facts.limit_px**2 - camera**2, 0.0)), _HARDLY * camera)
    wider = stops.f_number_within(min(airy.f_number_for(room * pitch), _ENOUGH * used))
    why = f"{seen(facts)}; diffraction at {stop(used)} alone makes {alone:.1f} px."
    if wider is None:
        return "Open the aperture: it is closed too far.", why
    needed, held = facts.depth_needed_mm, _held_mm(facts, wider)
    if needed and held and held < needed:
        return (
            f"Step back, or stack: at {stop(wider)} only {_mm(held)} of {_mm(needed)} are sharp.",
            why,
        )
    return f"Open up to {stop(wider)}: {stop(used)} is closed too far for this limit.", why


def depth(facts: Facts) -> tuple[str, ...]:
    """The subject is deeper than what is sharp at this f-number, where all of that is known."""
    focal, used = facts.exposure.focal_length_mm, facts.exposure.f_number
    needed, focus = facts.depth_needed_mm, facts.focus_distance_mm
    held = _held_mm(facts, used) if used else None
    if not focal or not used or not needed or not focus or held is None or held >= needed:
        return ()
    why = f"{seen(facts)}; {stop(used)} holds {_mm(held)} at {focus / 1000:.2g} m."
    for f_number in (n for n in stops.F_NUMBERS if n * _ENOUGH > used):
        # Diffraction takes its part of the blur at each stop anew.
        disk = _disk_mm(facts, f_number)
        if disk and field.holding(focal, disk, focus, needed) <= f_number:
            return f"Stop down to {stop(f_number)}: the subject is {_mm(needed)} deep.", why
    return f"Step back, or stack: no stop holds {_mm(needed)} here.", why


def lens_at_its_best(facts: Facts) -> str:
    """Where a fast lens near wide open would do better, or nothing.

    Two to three stops down from its widest: f/1.4 is at its best near f/2.8 to f/4. Common
    practice, no source.
    """
    used, pitch = facts.exposure.f_number, facts.exposure.pixel_pitch_um
    if not used:
        return ""
    widest = min(_widest(facts.exposure.lens) or used, used)
    low, high = (stops.f_number_near(widest * 2 ** (n / 2)) for n in (2, 3))
    camera = floor.camera_px(facts.long_side_px)
    closed = floor.diffraction_px(high, pitch) > camera
    if widest > _FAST or used > _OPEN * widest or closed:
        return ""
    return f"an {stop(widest)} lens is best near {stop(low)} to {stop(high)}"


def _widest(lens: str | None) -> float | None:
    """The widest f-number in a lens's name ("85mm f/1.8", "35mm F2"); a zoom's, at its best."""
    found = re.findall(r"(?:\b|mm)[fF]/?(\d+(?:\.\d+)?)(?![\d.]|mm)", lens or "")
    return next((float(one) for one in found if 0.7 <= float(one) <= 8), None)


def _held_mm(facts: Facts, f_number: float) -> float | None:
    """Depth, near end to far end, within the limit at an f-number; None where it is not known."""
    focal, focus, disk = (
        facts.exposure.focal_length_mm,
        facts.focus_distance_mm,
        _disk_mm(facts, f_number),
    )
    if not focal or not focus or focus <= focal or disk is None:
        return None
    if disk == 0:
        return 0.0
    near, far = field.limits_mm(focal, f_number, disk, focus)
    return far - near


def _disk_mm(facts: Facts, f_number: float) -> float | None:
    """The blur disk on the sensor that the limit leaves for focus; None where it is not known."""
    pitch = facts.exposure.pixel_pitch_um
    if not pitch:
        return None
    excess = facts.limit_px**2 - facts.focused_px(f_number) ** 2
    return field.disk_of_edge(math.sqrt(excess)) * pitch / 1000 if excess > 0 else 0.0


def _mm(length: float) -> str:
    return f"{length:.0f} mm" if length >= 10 else f"{length:.1f} mm"
