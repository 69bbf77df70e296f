"""Advice where something moved: the camera, the subject, or one of the two."""

from __future__ import annotations

from tether.optics import stops
from tether.verdict.advice import shutters
from tether.verdict.advice.words import length, seen, time
from tether.verdict.facts import Facts

_FOR_A_TRIPOD = 0.5  # s; no hand holds longer: common practice, no source


def of_the_camera(facts: Facts) -> tuple[str, ...]:
    """One over twice the focal length in 35 mm terms, or what this shake asks for."""
    used, at = facts.exposure.shutter_s, length(facts.exposure.focal_length_mm)
    if not used:
        return "Brace it, use a tripod, or shorten the shutter.", _why(facts, _lacks(facts))
    if used >= _FOR_A_TRIPOD:
        off = "" if facts.exposure.stabilised is False else ", stabiliser off"
        return (
            f"{time(used)} is for a tripod: release by cable or timer{off}.",
            _why(facts, _alike(facts)),
        )
    rule, stilling = shutters.by_hand_s(facts), shutters.stilling_s(facts)
    slow = rule is not None and used > shutters.KEPT * rule
    asked = shutters.asked(used, rule if slow else None, stilling)
    if facts.exposure.stabilised:
        # It shook all the same, and the rule of thumb knows of no stabiliser.
        held = f"{time(used)} at {at}" if at else time(used)
        instead = f"{time(asked)}, or a tripod" if asked else "a tripod, or brace it"
        first = f"{held} shook, stabiliser on: {instead}."
    elif slow and asked:
        first = f"{time(used)} at {at} is slow for a hand: {time(asked)}, or a tripod."
    elif rule is not None and asked:
        first = f"{time(used)} should hold at {at}, yet it shook: {time(asked)}, or brace it."
    elif slow or (stilling is not None and not asked):
        first = "No shutter is short enough for this shake: a tripod, or brace it."
    elif rule is not None:
        first = f"{time(used)} should hold at {at}, yet it shook: brace it, or a tripod."
    elif asked:
        first = f"This shake asks for {time(asked)}, a tripod or a stabiliser."
    else:
        first = f"Brace it, or use a tripod or a stabiliser{shutters.or_shorten(used)}."
    return first, _why(facts, _lacks(facts) or _alike(facts))


def of_the_subject(facts: Facts) -> tuple[str, ...]:
    """The shutter that this movement would need, and the light that it costs."""
    used = facts.exposure.shutter_s
    if not used:
        return "Let it rest, or shorten the shutter.", _why(facts, "no shutter time in the file")
    stilling = shutters.stilling_s(facts)
    asked = shutters.asked(used, stilling)
    if asked:
        light = f"{stops.time_stops(used, asked):.1f} stops less light"
        first = f"{time(used)} lets it move: {time(asked)} holds it ({light}), or let it rest."
    elif stilling is not None:
        first = "No shutter is short enough for this movement: let it rest, or use flash."
    elif shutters.no_room(facts):
        first = "Let it rest, and refocus: edges across the movement leave no room, either."
    else:
        first = f"Let it rest{shutters.or_shorten(used)}."
    return first, _why(facts, _still(facts))


def of_either(facts: Facts) -> tuple[str, ...]:
    """Nobody knows who moved: the camera where the rule is broken, else more likely the subject."""
    used, at = facts.exposure.shutter_s, length(facts.exposure.focal_length_mm)
    why = _why(facts, _lacks(facts) or "something moved")
    if not used:
        return "Brace or use a tripod, let the subject rest, or shorten the shutter.", why
    if used >= _FOR_A_TRIPOD:
        return f"{time(used)} is for a tripod and a subject that rests.", why
    rule, stilling = shutters.by_hand_s(facts), shutters.stilling_s(facts)
    slow = rule is not None and used > shutters.KEPT * rule
    asked = shutters.asked(used, rule if slow else None, stilling)
    if slow and facts.exposure.stabilised:
        rule, slow = None, False
    if slow and asked:
        first = f"{time(used)} at {at} is slow for a hand: {time(asked)}, or a tripod."
    elif rule is not None and not slow and asked:
        first = f"{time(used)} holds a hand's shake at {at}; a subject asks {time(asked)}."
    elif rule is not None and not slow:
        first = f"{time(used)} holds a hand's shake at {at}: look for a moving subject."
    elif asked:
        first = f"{time(asked)} holds this movement, or brace it and let the subject rest."
    else:
        first = f"Brace or use a tripod, and let the subject rest{shutters.or_shorten(used)}."
    return first, why


def _why(facts: Facts, more: str) -> str:
    motion, across = facts.measurement.motion, facts.widths[1].px
    told = seen(facts)
    if motion is not None:
        told = seen(facts, f"along {motion.angle_deg:.0f}°, {across:.1f} across")
    return f"{told}; {more}." if more else f"{told}."


def _lacks(facts: Facts) -> str:
    """What the file does not tell of what the rule of thumb needs."""
    told = {
        "shutter time": facts.exposure.shutter_s,
        "focal length": facts.exposure.focal_length_mm,
        "pixel pitch": facts.exposure.pixel_pitch_um,
    }
    return next((f"no {name} in the file" for name, value in told.items() if not value), "")


def _alike(facts: Facts) -> str:
    around = facts.around
    moved = around is not None and around.moved
    return f"{around.moved} of {_places(facts)} places moved alike" if around and moved else ""


def _still(facts: Facts) -> str:
    around = facts.around
    still = around is not None and around.still
    return f"{around.still} of {_places(facts)} places stood still" if around and still else ""


def _places(facts: Facts) -> int:
    around = facts.around
    return max(around.looked, around.moved + around.still) if around else 0
