"""What to change and then why, in at most two lines, with this frame's numbers.

Advice asks for nothing that the frame already has: no shorter shutter than cameras offer, no stop
that is set, no rule that is kept. Where the file does not tell what a rule needs, it says so.
"""

from __future__ import annotations

from tether.model import Cause, Verdict
from tether.verdict.advice import aperture, focus, movement, reference, unsure
from tether.verdict.facts import Facts

Lines = tuple[str, ...]


def advise(facts: Facts) -> Lines:
    """Say what to change after this frame; nothing after a sharp one as good as its reference."""
    if facts.verdict is Verdict.UNJUDGED:
        return unsure.unjudged(facts)
    if facts.verdict is Verdict.SHARP or facts.measurement.widest is None:
        return reference.wider(facts)
    if facts.verdict is Verdict.BORDERLINE:
        return aperture.out_of_reach(facts) or reference.wider(facts) or unsure.borderline(facts)
    return _soft(facts)


def _soft(facts: Facts) -> Lines:
    match facts.cause:
        case Cause.CAMERA_SHAKE:
            return movement.of_the_camera(facts)
        case Cause.SUBJECT_MOTION:
            return movement.of_the_subject(facts)
        case Cause.FRONT_FOCUS | Cause.BACK_FOCUS:
            return focus.before_or_behind(facts)
        case Cause.FOCUS_ELSEWHERE:
            return focus.elsewhere(facts)
    if facts.cause is not Cause.DEFOCUS and facts.measurement.motion is not None:
        return movement.of_either(facts)
    return (
        aperture.out_of_reach(facts)
        or aperture.diffraction(facts)
        or aperture.depth(facts)
        or (focus.out(facts) if facts.cause is Cause.DEFOCUS else unsure.soft(facts))
    )
