"""From a measurement and a limit to a verdict and its cause."""

from __future__ import annotations

from tether.model import Around, Cause, Measurement, Verdict

FEW = 3
"""Places that must bear witness to a movement which the area shows itself."""

COMMON = 4
"""Places, and a third of all, that must share a movement which the area does not show."""

UNLIKE = 1.7
"""Times that the widest direction's width may be the narrowest's before a movement is suspected.

`tests.benchmarks.accuracy_around` prints what comes of these three.
"""


def decide(
    measurement: Measurement, limit_px: float, around: Around | None = None
) -> tuple[Verdict, Cause | None]:
    """Judge the widest edge width, with its interval, against the limit, both in px.

    Sharp when the whole 95 % interval is within the limit, soft when all of it is beyond,
    borderline when it straddles the limit, unjudged when nothing was measured.

    The cause of a soft frame is the first of these that is sure; where none is, there is none,
    and the measurement's `motion` says what was seen:

    - Edges wider one way than the other tell of movement. It was the camera if the rest of the
      frame moved likewise, the subject if the rest kept still. The area alone does not tell.
    - The rest of the frame shares a movement that the area is too poor in edges to show, and the
      area may be narrow across it: the camera.
    - Another place is surely sharper, within the limit as far as its interval tells, and the area
      is wider than it in every direction, and much alike in all, as no movement makes it: the
      focus lies elsewhere.
    - Soft in the narrowest direction too is out of focus: no movement does that.

    Parameters
    ----------
    measurement
        What was measured in the focus area.
    limit_px
        The widest edge that the picture's purpose allows.
    around
        What the rest of the frame says, once it was looked at.
    """
    widest, narrowest = measurement.widest, measurement.narrowest
    if widest is None or narrowest is None:
        return Verdict.UNJUDGED, measurement.reason
    if widest.hi <= limit_px:
        return Verdict.SHARP, None
    if widest.lo <= limit_px:
        return Verdict.BORDERLINE, None
    around = around or Around()
    best = around.sharpest[1] if around.sharpest else None
    alike = widest.px <= UNLIKE * narrowest.px
    wider_all_round = best is not None and narrowest.lo > best.hi
    if measurement.motion is not None:
        return Verdict.SOFT, _who_moved(around, moved_only=not wider_all_round)
    unfocused = narrowest.lo > limit_px
    if not unfocused and _shared(around):
        return Verdict.SOFT, Cause.CAMERA_SHAKE
    if best is not None and wider_all_round and alike and best.lo <= limit_px:
        return Verdict.SOFT, Cause.FOCUS_ELSEWHERE
    return Verdict.SOFT, Cause.DEFOCUS if unfocused else None


def _who_moved(around: Around, *, moved_only: bool) -> Cause | None:
    if around.moved >= FEW and around.moved > 2 * around.still:
        return Cause.CAMERA_SHAKE
    # A subject may be large: places on it move as the area does. A few still places among many
    # that tell nothing are no witnesses.
    enough = around.still >= FEW and 3 * around.still >= around.looked
    if moved_only and enough and around.still > around.moved:
        return Cause.SUBJECT_MOTION
    return None


def _shared(around: Around) -> bool:
    many = around.moved >= COMMON and 3 * around.moved >= around.looked
    return many and around.moved > 3 * around.still
