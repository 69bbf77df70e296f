"""Advice where focus missed: out, before or behind the area, or somewhere else."""

from __future__ import annotations

import math

from tether.model import Cause, Rect, Source
from tether.optics import depth
from tether.verdict.advice import aperture
from tether.verdict.advice.words import place, seen, seen_where
from tether.verdict.facts import Facts

_REPEATED = 3  # times the same way, this frame among them
_SIDES = (
    "to the right of it", "to the lower right of it", "below it", "to the lower left of it",
    "to the left of it", "to the upper left of it", "above it", "to the upper right of it",
)  # fmt: skip


_TARGETS = {
    Source.NEAREST_EYE: "the nearest eye",
    Source.FIXED_AREA: "the fixed area",
}


def out(facts: Facts) -> tuple[str, ...]:
    """Out of focus, and nobody knows which way."""
    why = seen_where(facts, ", too wide in every direction: out of focus")
    if facts.area.source is Source.FRAME_CENTRE:
        return "The frame's centre was judged: no focus area is known. Set one, then refocus.", why
    name = place(facts)
    better = aperture.lens_at_its_best(facts)
    if better:
        return f"Refocus on the {name}; {better}.", why
    how = "magnified" if facts.by_hand else "one focus point"
    return f"Refocus on the {name}, {how}, and take it again.", why


def before_or_behind(facts: Facts) -> tuple[str, ...]:
    """Which way focus missed, and whether that is the lens's habit."""
    front = facts.cause is Cause.FRONT_FOCUS
    same = 1 + facts.history.count(facts.cause)
    other = facts.history.count(Cause.BACK_FOCUS if front else Cause.FRONT_FOCUS)
    frames = 1 + len(facts.history)
    name, side = place(facts), "in front of" if front else "behind"
    # By hand no lens's offset is at work, and no focus point.
    if not facts.by_hand and same >= _REPEATED and 2 * same >= frames and 4 * other <= same:
        habit = f"{'Front' if front else 'Back'} focus in {same} of {frames} frames"
        return (
            f"{habit}: measure the lens's offset at the bench.",
            seen_where(facts, "; until then refocus, one focus point"),
        )
    if same + other >= _REPEATED and 4 * min(same, other) > max(same, other):
        return (
            "Focus misses to both sides by turns, no lens's offset: refocus each time.",
            seen_where(facts, f"; front or back in {same + other} of {frames} frames"),
        )
    how = "magnified" if facts.by_hand else "one point"
    return (
        f"Focus lies{_by_how_much(facts, front)} {side} the {name}: refocus, {how}.",
        seen_where(facts, ""),
    )


def elsewhere(facts: Facts) -> tuple[str, ...]:
    """Sharp, but not where it was meant to be."""
    target = _TARGETS.get(facts.area.source, "the nearest eye or the label")
    best = facts.around.sharpest if facts.around else None
    first = f"Put one focus point on {target}: focus lies elsewhere."
    if facts.by_hand:
        first = f"Focus on {target}, magnified: focus lies elsewhere."
    if best is None:
        return first, seen_where(facts, "")
    side = direction(facts.area.rect, best[0], facts.orientation)
    why = f"{seen(facts)}; edges of {best[1].px:.1f} px {side}."
    return first, why


def direction(here: Rect, there: Rect, orientation: int) -> str:
    """From one rectangle to another, of the picture the right way up (Exif Orientation)."""
    x = there.x + there.width / 2 - here.x - here.width / 2
    y = there.y + there.height / 2 - here.y - here.height / 2
    if orientation in {2, 3, 7, 8}:
        x = -x
    if orientation in {3, 4, 6, 7}:
        y = -y
    if orientation in {5, 6, 7, 8}:
        x, y = y, x
    return _SIDES[round(math.degrees(math.atan2(y, x)) / 45) % 8]


def _by_how_much(facts: Facts, front: bool) -> str:
    """How far the area's blur says it is from where the lens was focused."""
    focal, f_number = facts.exposure.focal_length_mm, facts.exposure.f_number
    pitch, focus = facts.exposure.pixel_pitch_um, facts.focus_distance_mm
    excess = facts.widths[0].px ** 2 - facts.focused_px(f_number) ** 2
    if not focal or not f_number or not pitch or not focus or focus <= focal or excess <= 0:
        return ""
    disk_mm = depth.disk_of_edge(math.sqrt(excess)) * pitch / 1000
    near, far = depth.limits_mm(focal, f_number, disk_mm, focus)
    away = far - focus if front else focus - near
    return f" about {away:.0f} mm" if 1 <= away < 1000 else ""
