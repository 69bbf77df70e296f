"""Advice where there is nothing to judge, or where the picture does not tell."""

from __future__ import annotations

from tether.model import Cause
from tether.verdict.advice import shutters
from tether.verdict.advice.words import length, noted, place, seen, time
from tether.verdict.facts import Facts

_MOSTLY = 0.5  # of an area's pixels at an end of the scale
_LOWEST_ISO = 100  # what most cameras go down to: common practice, no source


def unjudged(facts: Facts) -> tuple[str, ...]:
    """Where to put the area, or what would make it judgeable."""
    here = f"in the {place(facts)}{noted(facts)}"
    if facts.cause is Cause.UNREADABLE:
        return ("Copy the file again, or take the frame again.", "The picture cannot be read.")
    if facts.cause is Cause.TOO_NOISY:
        iso = facts.exposure.iso
        lower = f" and a lower ISO than {iso}" if iso and iso > _LOWEST_ISO else ""
        return (
            f"More light{lower}, or look at it at 1:1.",
            f"Too noisy to judge {here}.",
        )
    if facts.measurement.clipped > _MOSTLY:
        first = "Bring the exposure back: black and white hold no edges."
    else:
        first = "Put the area where there is an edge: a lash, lettering, a rim."
    return first, f"Nothing to judge {here}."


def borderline(facts: Facts) -> tuple[str, ...]:
    """The interval holds the limit."""
    widest = facts.widths[0]
    return (
        "Look at it at 1:1, or take one more.",
        f"Edges between {widest.lo:.1f} and {widest.hi:.1f} px wide, {facts.limit_px:.1f} allowed: "
        "too close to tell.",
    )


def soft(facts: Facts) -> tuple[str, ...]:
    """Soft, and neither focus nor movement is sure: the shutter says which to look at first."""
    used, at = facts.exposure.shutter_s, length(facts.exposure.focal_length_mm)
    rule = shutters.by_hand_s(facts)
    first = "Take it again, refocused and held steady."
    if used and rule is not None:
        asked = shutters.asked(used, rule)
        if used <= shutters.KEPT * rule:
            first = f"Refocus and take it again: {time(used)} at {at} holds a hand's shake."
        elif asked and not facts.exposure.stabilised:
            first = f"Refocus, and by hand take {time(asked)}: {time(used)} at {at} is slow."
    return first, f"{seen(facts)}; this area does not tell focus from movement."
