"""Which shutter time a frame would have needed."""

from __future__ import annotations

from tether.optics import shutter, stops
from tether.verdict.advice.words import time
from tether.verdict.facts import Facts

KEPT = 1.1
"""Times the rule of thumb: so near it is kept."""

_ROOM = 0.9  # across the movement, of the limit: from here on there is no room for any movement
_SHORTER = 0.9  # of the time used: less than a third of a stop is no change


def by_hand_s(facts: Facts) -> float | None:
    """The slowest time by the rule of thumb, where the file tells what it needs."""
    focal, pitch = facts.exposure.focal_length_mm, facts.exposure.pixel_pitch_um
    if not focal or not pitch:
        return None
    return shutter.slowest_handheld_s(shutter.equivalent_mm(focal, pitch, facts.long_side_px))


def stilling_s(facts: Facts) -> float | None:
    """The time in which this movement would stay within the limit, where it was seen to move."""
    used, (widest, narrowest) = facts.exposure.shutter_s, facts.widths
    if not used or facts.measurement.motion is None or no_room(facts):
        return None
    moved = shutter.moved_px(widest.px, narrowest.px)
    allowed = shutter.moved_px(facts.limit_px, narrowest.px)
    return shutter.stilling_s(used, moved, allowed) if moved > allowed else None


def no_room(facts: Facts) -> bool:
    """Whether edges across the movement are as wide as allowed, so that no shutter helps."""
    return facts.widths[1].px > _ROOM * facts.limit_px


def asked(used: float, *wanted: float | None) -> float | None:
    """The longest marked time within all that is wanted; None for none, or under 1/8000 s."""
    known = [one for one in wanted if one is not None]
    return stops.time_within(min(*known, _SHORTER * used)) if known else None


def or_shorten(used: float) -> str:
    """The end of a sentence that has no time to name; nothing where cameras have no shorter one."""
    shorter = stops.time_within(_SHORTER * used) is not None
    return f", or shorten {time(used)}" if shorter else ""
