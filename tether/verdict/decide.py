"""From a measurement and a limit to a verdict and its cause."""

from __future__ import annotations

from tether.model import Cause, Measurement, Verdict


def decide(measurement: Measurement, limit_px: float) -> tuple[Verdict, Cause | None]:
    """Judge the widest edge width, with its interval, against the limit, both in px.

    Sharp when the whole 95 % interval is within the limit, soft when all of it is beyond,
    borderline when it straddles the limit, unjudged when nothing was measured.

    A soft frame whose edges are alike in all directions is out of focus. Edges wider one way
    than the other tell of movement, but this area alone does not tell who moved, the camera or
    the subject: then there is no cause, and the measurement's `motion` says what was seen.
    """
    widest = measurement.widest
    if widest is None:
        return Verdict.UNJUDGED, measurement.reason
    if widest.hi <= limit_px:
        return Verdict.SHARP, None
    if widest.lo <= limit_px:
        return Verdict.BORDERLINE, None
    return Verdict.SOFT, None if measurement.motion else Cause.DEFOCUS
