"""Advice where a frame is within its limit, yet not what this setup has given before."""

from __future__ import annotations

from tether.model import Verdict
from tether.verdict.facts import Facts

MARKED = 1.25
"""Times the reference's edge width from which it is worth a word.

Above what one focusing differs from the next, a tenth or two: common practice, no source.
"""

_LONG = 22  # characters of a frame's name that a line of 80 has room for


def wider(facts: Facts) -> tuple[str, ...]:
    """Say that edges are surely wider than the reference's by `MARKED` or more.

    The verdict stays with the limit. The limit is what the picture's purpose allows, and a frame
    within it serves, whatever better one there is; the reference is only the best that this setup
    gave so far, another one tomorrow, and no frame's verdict may hang on which was taken before
    it.
    """
    against, ratio = facts.against, facts.relative_blur
    if against is None or ratio is None or against.ratio_95 is None:
        return ()
    if against.ratio_95[0] < MARKED:
        return ()
    name = against.frame
    if len(name) > _LONG:
        name = f"{name[: _LONG - 1]}…"
    first = f"{ratio:.1f} times as wide as the reference {name}: refocus and compare."
    if facts.verdict is Verdict.SHARP:
        return (first,)
    widest = facts.widths[0]
    return (
        first,
        f"Edges between {widest.lo:.1f} and {widest.hi:.1f} px wide, {facts.limit_px:.1f} allowed: "
        "too close to tell.",
    )
