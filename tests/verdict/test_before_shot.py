"""Settings that would make the next frame soft.

The rule of the shutter, one over twice the focal length in 35 mm terms, the stabiliser's and
autofocus's on a tripod: common practice, no source. Depths: the exact thin lens (D. Jacobson).
"""

from __future__ import annotations

import pytest

from tether.model import CameraSettings, FocusMode, Pixels
from tether.verdict.before_shot import concerns, depth, focus_mode, shutter, stabiliser
from tether.verdict.checked import NOT_TOLD, Check, State
from tether.verdict.shot import Shot


def shot(
    *,
    tripod: bool = False,
    width: float | None = None,
    distance: float | None = None,
    needed: float | None = None,
    **camera: object,
) -> Shot:
    return Shot(
        camera=CameraSettings(**camera),  # type: ignore[arg-type]
        purpose=Pixels(4.0),
        tripod=tripod,
        sensor_width_mm=width,
        subject_distance_mm=distance,
        subject_depth_mm=needed,
    )


@pytest.mark.parametrize(
    ("seconds", "state"),
    [(1 / 250, State.GOOD), (1 / 160, State.GOOD), (1 / 125, State.WRONG), (1 / 8, State.WRONG)],
)
def test_by_hand_at_85_mm(seconds: float, state: State) -> None:
    found = shutter(shot(shutter_s=seconds, focal_length_mm=85.0))
    assert found.state is state
    assert "1/170 s" in found.why
    assert "full frame assumed" in found.why
    assert ("1/200 s" in found.change) is (state is State.WRONG)


def test_a_smaller_sensor_asks_for_a_shorter_time_and_nothing_is_assumed() -> None:
    found = shutter(shot(shutter_s=1 / 160, focal_length_mm=85.0, width=24.0))
    assert found.state is State.WRONG  # 1/255 s
    assert "assumed" not in found.why


def test_a_tripod_holds_any_time() -> None:
    assert shutter(shot(shutter_s=2.0, focal_length_mm=200.0, tripod=True)).state is State.GOOD


def test_a_stabiliser_makes_a_slow_time_worth_a_look() -> None:
    found = shutter(shot(shutter_s=1 / 60, focal_length_mm=85.0, stabilised=True))
    assert found.state is State.LOOK


def test_bulb_by_hand_is_wrong_and_what_is_not_told_is_said() -> None:
    assert shutter(shot(shutter_said="bulb")).state is State.WRONG
    assert shutter(shot(shutter_said="bulb", tripod=True)).state is State.GOOD
    assert shutter(shot()).found == NOT_TOLD
    no_length = shutter(shot(shutter_s=1 / 60))
    assert no_length.state is State.UNTOLD
    assert NOT_TOLD in no_length.found


@pytest.mark.parametrize(
    ("mode", "tripod", "state"),
    [
        (FocusMode.SINGLE, True, State.GOOD),
        (FocusMode.SINGLE, False, State.GOOD),
        (FocusMode.CONTINUOUS, True, State.LOOK),
        (FocusMode.CONTINUOUS, False, State.GOOD),
        (FocusMode.AUTOMATIC, False, State.LOOK),
        (FocusMode.MANUAL, True, State.GOOD),
        (FocusMode.MANUAL, False, State.LOOK),
        (None, True, State.UNTOLD),
    ],
)
def test_focus_modes(mode: FocusMode | None, tripod: bool, state: State) -> None:
    assert focus_mode(shot(focus_mode=mode, tripod=tripod)).state is state


@pytest.mark.parametrize(
    ("on", "tripod", "state"),
    [
        (True, True, State.LOOK),
        (False, True, State.GOOD),
        (True, False, State.GOOD),
        (False, False, State.LOOK),
        (None, False, State.UNTOLD),
    ],
)
def test_stabilisers(on: bool | None, tripod: bool, state: State) -> None:
    assert stabiliser(shot(stabilised=on, tripod=tripod)).state is state


def held(needed: float, f_number: float | None = 4.0, distance: float | None = 2500.0) -> Check:
    found = depth(shot(focal_length_mm=85.0, f_number=f_number, distance=distance, needed=needed))
    assert found is not None
    return found


def test_a_subject_within_the_depth_of_field_is_good() -> None:
    # 85 mm, f/4, c 0.03 mm, 2.5 m: from 2403.59 to 2604.47 mm.
    assert held(200.0).state is State.GOOD
    found = held(202.0)
    assert found.state is State.WRONG
    assert "20.1 cm of 20.2 cm at 2.5 m" in found.found
    assert found.change == "stop down to f/4.5"


def test_a_subject_that_no_stop_holds() -> None:
    assert "stack" in held(9_000_000.0, distance=300.0).change


def test_depth_is_not_looked_at_unless_asked_for_and_says_what_it_lacks() -> None:
    assert depth(shot(focal_length_mm=85.0, f_number=4.0, distance=2500.0)) is None
    assert held(50.0, f_number=None).found == f"f-number: {NOT_TOLD}"
    assert held(50.0, distance=None).found == f"distance: {NOT_TOLD}"


def test_concerns_are_only_what_to_change_and_the_surest_first() -> None:
    found = concerns(
        shot(
            tripod=True,
            focus_mode=FocusMode.CONTINUOUS,
            f_number=4.0,
            focal_length_mm=85.0,
            shutter_s=1.0,
            distance=2500.0,
            needed=400.0,
        )
    )
    assert [check.state for check in found] == [State.WRONG, State.LOOK]
    assert all(check.change for check in found)
    good = {"focus_mode": FocusMode.SINGLE, "shutter_s": 1 / 500, "focal_length_mm": 50.0}
    assert concerns(shot(**good)) == []  # type: ignore[arg-type]
    assert concerns(shot()) == []
