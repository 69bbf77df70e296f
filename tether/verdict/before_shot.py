"""Which settings would make the next frame soft, before it is taken."""

from __future__ import annotations

import math

from tether.model import FocusMode
from tether.optics import shutter as holding
from tether.optics import stops
from tether.verdict.advice.shutters import KEPT
from tether.verdict.advice.words import length, stop, time
from tether.verdict.checked import NOT_TOLD, Check, State
from tether.verdict.shot import Shot

SHUTTER, FOCUS_MODE = "shutter", "focus mode"
STABILISER, DEPTH = "stabiliser", "depth of field"


def concerns(shot: Shot) -> list[Check]:
    """What to change before the shot, what makes it soft for sure first."""
    checks = [rule(shot) for rule in (shutter, depth, focus_mode, stabiliser)]
    found = [check for check in checks if check is not None and check.to_change]
    return sorted(found, key=lambda check: check.state is not State.WRONG)


def shutter(shot: Shot) -> Check:
    """One over twice the focal length in 35 mm terms by hand; anything on a tripod."""
    camera, equivalent = shot.camera, shot.equivalent_mm
    used = camera.shutter_s
    why = "a slower shutter than a hand can hold blurs everything, one way"
    if used is None:
        if not camera.shutter_said:
            return Check(SHUTTER, State.UNTOLD, NOT_TOLD, why)
        if shot.tripod:
            return Check(SHUTTER, State.GOOD, f"{camera.shutter_said}, on a tripod", why)
        change = "set a time, or use a tripod"
        state = State.WRONG if camera.shutter_said.lower() == "bulb" else State.UNTOLD
        return Check(SHUTTER, state, camera.shutter_said, why, change)
    if shot.tripod:
        why = "a tripod holds any time; a subject that moves asks for a short one"
        return Check(SHUTTER, State.GOOD, f"{time(used)} on a tripod", why)
    if equivalent is None:
        return Check(SHUTTER, State.UNTOLD, f"{time(used)}; focal length: {NOT_TOLD}", why)
    rule = holding.slowest_handheld_s(equivalent)
    assumed = "" if shot.sensor_width_mm else " (full frame assumed)"
    why = f"by hand hold 1/{2 * equivalent:.0f} s or shorter{assumed}, or it shakes"
    found = f"{time(used)} by hand at {length(camera.focal_length_mm)}"
    if used <= KEPT * rule:
        return Check(SHUTTER, State.GOOD, found, why)
    asked = stops.time_within(rule)
    change = f"take {time(asked)} or shorter, or a tripod" if asked else "use a tripod"
    if camera.stabilised:
        return Check(SHUTTER, State.LOOK, f"{found}, stabiliser on", why, change)
    return Check(SHUTTER, State.WRONG, found, why, change)


def focus_mode(shot: Shot) -> Check:
    """Continuous autofocus on a tripod hunts; by hand on something that moves it helps."""
    mode, said = shot.camera.focus_mode, shot.camera.focus_mode_said
    why = "focus that moves between frames turns sharp ones into soft ones"
    if mode is None:
        told = f"{said}; single or continuous: {NOT_TOLD}" if said else NOT_TOLD
        return Check(FOCUS_MODE, State.UNTOLD, told, why)
    found = said or mode.value
    if shot.tripod and mode is FocusMode.CONTINUOUS:
        found = f"continuous autofocus ({found}) on a tripod"
        return Check(FOCUS_MODE, State.LOOK, found, why, "set single autofocus, or manual focus")
    if mode is FocusMode.AUTOMATIC:
        found = f"{found}: the camera chooses between single and continuous"
        return Check(FOCUS_MODE, State.LOOK, found, why, "set single autofocus")
    if mode is FocusMode.MANUAL and not shot.tripod:
        why = "by hand the distance changes after it was set"
        return Check(FOCUS_MODE, State.LOOK, f"manual focus ({found}) by hand", why, _AUTOFOCUS)
    return Check(FOCUS_MODE, State.GOOD, found, why)


def stabiliser(shot: Shot) -> Check:
    """On by hand, off on a tripod: common practice, no source."""
    why = "a stabiliser helps a hand, and may wander on a tripod"
    match shot.camera.stabilised, shot.tripod:
        case None, _:
            return Check(STABILISER, State.UNTOLD, NOT_TOLD, why)
        case True, True:
            return Check(STABILISER, State.LOOK, "stabiliser on, on a tripod", why, "switch it off")
        case False, False:
            return Check(STABILISER, State.LOOK, "stabiliser off, by hand", why, "switch it on")
    held = "tripod" if shot.tripod else "hand"
    state = "on" if shot.camera.stabilised else "off"
    return Check(STABILISER, State.GOOD, f"{state}, {held}", why)


def depth(shot: Shot) -> Check | None:
    """Whether the f-number holds the subject's depth; None where no depth is asked for."""
    needed, distance, used = (
        shot.subject_depth_mm,
        shot.subject_distance_mm,
        shot.camera.f_number,
    )
    if needed is None:
        return None
    why = f"the subject is {_cm(needed)} deep; what lies outside of the depth of field is soft"
    unknown = [
        name
        for name, value in (
            ("f-number", used),
            ("focal length", shot.camera.focal_length_mm),
            ("distance", distance),
        )
        if not value
    ]
    held = shot.held_mm(used) if used else None
    if unknown or not used or held is None or distance is None:
        lacking = " and ".join(unknown) or "distance"
        return Check(DEPTH, State.UNTOLD, f"{lacking}: {NOT_TOLD}", why)
    part = f"{_cm(held)} of {_cm(needed)}" if math.isfinite(held) else "all of it"
    found = f"{stop(used)} holds {part} at {distance / 1000:.3g} m"
    if held >= needed:
        return Check(DEPTH, State.GOOD, found, why)
    for f_number in (n for n in stops.F_NUMBERS if n > used):
        if (shot.held_mm(f_number) or 0.0) >= needed:
            return Check(DEPTH, State.WRONG, found, why, f"stop down to {stop(f_number)}")
    return Check(DEPTH, State.WRONG, found, why, "step back, or stack: no stop holds it")


_AUTOFOCUS = "set single autofocus, or use a tripod"


def _cm(mm: float) -> str:
    return f"{mm / 10:.3g} cm" if mm < 1000 else f"{mm / 1000:.3g} m"
