"""Both eyes in one line."""

from __future__ import annotations

from tether.verdict.eyes import eyes_line


def test_each_eye_is_told_with_its_width_the_one_judged_first() -> None:
    told = eyes_line([("right eye", 3.14), ("left eye", 6.02)])
    assert told == "right eye 3.1 px, left eye 6.0 px"


def test_an_eye_that_could_not_be_measured_is_said_to_be_so() -> None:
    assert eyes_line([("left eye", 2.0), ("right eye", None)]) == (
        "left eye 2.0 px, right eye not measured"
    )


def test_without_eyes_there_is_no_line() -> None:
    assert eyes_line([]) == ""
