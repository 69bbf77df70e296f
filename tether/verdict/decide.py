"""From a measurement and a limit to a verdict and its cause."""

from __future__ import annotations

from tether.model import Cause, Measurement, Verdict


def decide(measurement: Measurement, limit_px: float) -> tuple[Verdict, Cause | None]:
    """Judge the widest edge width, with its interval, against the limit, both in px.

    Sharp when the whole 95 % interval is within the limit, soft when all of it is beyond,
    borderline when it straddles the limit, unjudged when nothing was measured.

    Soft in the narrowest direction too is out of focus: no movement does that. Edges surely wider
    one way than the other tell of movement, but this area alone does not tell who moved, the
    camera or the subject: then there is no cause, and the measurement's `motion` says what was
    seen. Where neither is sure there is no cause either.
    """
    widest, narrowest = measurement.widest, measurement.narrowest
    if widest is None or narrowest is None:
        return Verdict.UNJUDGED, measurement.reason
    if widest.hi <= limit_px:
        return Verdict.SHARP, None
    if widest.lo <= limit_px:
        return Verdict.BORDERLINE, None
    unfocused = measurement.motion is None and narrowest.lo > limit_px
    return Verdict.SOFT, Cause.DEFOCUS if unfocused else None
