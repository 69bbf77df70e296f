"""Where something moved: the shutter that would hold it, and nothing the frame already has."""

from __future__ import annotations

import pytest

from tests.verdict.facts import MOVED, measured, said
from tether.model import Around, Cause, Motion

SHAKE, SUBJECT = Cause.CAMERA_SHAKE, Cause.SUBJECT_MOTION


def test_a_slow_shutter_is_named_with_the_one_that_would_do() -> None:
    # One over twice 85 mm is 1/170 s, marked 1/200: common practice, no source.
    first, second = said(SHAKE, measurement=MOVED).splitlines()
    assert first == "1/60 s at 85 mm is slow for a hand: 1/200 s, or a tripod."
    assert second == "Edges 7.0 px along 20°, 2.7 across, 4.0 allowed."


@pytest.mark.parametrize(
    ("focal", "slow", "asked"), [(50, 80, 100), (50, 30, 100), (100, 100, 200), (200, 250, 400)]
)
def test_the_rule_is_one_over_twice_the_focal_length(focal: int, slow: int, asked: int) -> None:
    # 50 mm asks 1/100 s. Common practice, no source.
    # This area itself shows no movement that would ask for more.
    told = said(SHAKE, {"focal_length_mm": focal, "shutter_s": 1 / slow})
    assert f"1/{slow} s at {focal} mm is slow for a hand: 1/{asked} s" in told


def test_a_small_sensor_asks_for_more() -> None:
    told = said(SHAKE, {"focal_length_mm": 50, "pixel_pitch_um": 3.9}, measurement=MOVED)
    # 1.54 times 50 mm: 1/154 s.
    assert "1/160 s" in told


def test_a_shake_past_the_rule_asks_for_what_it_needs_itself() -> None:
    # From (7.0² - 2.7²) to (4.0² - 2.7²) of squares is 2.19 times less way: 1/250 s to 1/547 s.
    told = said(SHAKE, {"shutter_s": 1 / 250}, measurement=MOVED)
    assert told.startswith("1/250 s should hold at 85 mm, yet it shook: 1/640 s, or brace it.")


def test_no_shutter_is_asked_for_that_no_camera_has() -> None:
    wild = measured(2.7, 60.0, Motion(20, 22))
    assert "No shutter is short enough" in said(SHAKE, {"shutter_s": 1 / 4000}, measurement=wild)
    assert "No shutter is short enough" in said(SUBJECT, {"shutter_s": 1 / 4000}, measurement=wild)
    assert "shorten" not in said(SHAKE, {"shutter_s": 1 / 8000}, measurement=measured(3.9, 5))


def test_seconds_are_for_a_tripod() -> None:
    told = said(SHAKE, {"shutter_s": 2.0}, measurement=MOVED)
    assert told.startswith("2 s is for a tripod: release by cable or timer")


def test_what_the_file_does_not_tell_is_said_and_not_made_up() -> None:
    for key, name in {
        "shutter_s": "shutter time",
        "focal_length_mm": "focal length",
        "pixel_pitch_um": "pixel pitch",
    }.items():
        told = said(SHAKE, {key: None}, measurement=MOVED)
        assert f"no {name} in the file" in told
        assert "slow for a hand" not in told
    # The movement itself still names a shutter: 1/60 s and 2.19 times less way.
    assert "1/160 s" in said(SHAKE, {"focal_length_mm": None}, measurement=MOVED)


def test_the_rest_of_the_frame_is_the_witness() -> None:
    around = Around(None, moved=7, still=1, looked=9)
    assert "7 of 9 places moved" in said(SHAKE, measurement=MOVED, around=around)
    around = Around(None, moved=0, still=8, looked=9)
    assert "8 of 9 places stood still" in said(SUBJECT, measurement=MOVED, around=around)


def test_a_moving_subject_is_told_the_shutter_that_holds_it_and_its_cost() -> None:
    # 1/30 s and 2.19 times less way is 1/66 s, marked 1/80: 1.4 stops.
    told = said(SUBJECT, {"shutter_s": 1 / 30}, measurement=MOVED)
    assert told.startswith("1/30 s lets it move: 1/80 s holds it (1.4 stops less light)")


def test_a_subject_that_is_out_of_focus_too_is_not_promised_a_shutter() -> None:
    both = measured(6.0, 14.0, Motion(20, 2.3))
    told = said(SUBJECT, measurement=both)
    assert told.startswith("Let it rest, and refocus")
    assert "1/" not in told


def test_who_moved_is_left_open_where_nobody_knows() -> None:
    told = said(None, {"shutter_s": 1 / 500}, measurement=MOVED)
    assert told.startswith("1/500 s holds a hand's shake at 85 mm; a subject asks 1/1250 s.")
    assert "slow for a hand" in said(None, {"shutter_s": 1 / 20}, measurement=MOVED)
    assert "something moved" in told


def test_without_metadata_no_number_is_made_up() -> None:
    gone = dict.fromkeys(("shutter_s", "focal_length_mm", "pixel_pitch_um"))
    for cause in (SHAKE, SUBJECT, None):
        first = said(cause, gone, measurement=MOVED).splitlines()[0]
        assert not any(character.isdigit() for character in first)


def test_a_stabiliser_that_is_on_is_not_asked_for_nor_passed_over() -> None:
    told = said(SHAKE, {"stabilised": True}, measurement=MOVED)
    assert told.startswith("1/60 s at 85 mm shook, stabiliser on: 1/200 s, or a tripod.")
    told = said(SHAKE, {"stabilised": True, "focal_length_mm": None}, measurement=measured(3.9, 5))
    assert told.startswith("1/60 s shook, stabiliser on: a tripod, or brace it.")
    told = said(None, {"stabilised": True}, measurement=MOVED)
    assert "holds this movement" in told


def test_a_stabiliser_that_is_off_is_not_asked_to_be() -> None:
    assert "stabiliser" not in said(SHAKE, {"shutter_s": 2.0, "stabilised": False})
