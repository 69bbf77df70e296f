"""The interval against the limit decides, and a cause is named only where it is known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tether.model import Around, Cause, EdgeWidth, Measurement, Motion, Rect, Verdict
from tether.verdict.decide import decide


def measured(lo: float, px: float, hi: float, motion: Motion | None = None) -> Measurement:
    width = EdgeWidth(px, lo, hi)
    return Measurement(width, width, motion, None, 0.004, 200, 0.0)


@pytest.mark.parametrize(
    ("interval", "verdict"),
    [
        ((1.8, 2.2, 2.9), Verdict.SHARP),
        ((3.0, 3.5, 4.0), Verdict.SHARP),
        ((3.0, 3.5, 4.1), Verdict.BORDERLINE),
        ((3.9, 5.0, 6.1), Verdict.BORDERLINE),
        ((4.0, 5.0, 6.1), Verdict.BORDERLINE),
        ((4.1, 5.0, 6.1), Verdict.SOFT),
    ],
)
def test_sharp_is_wholly_within_soft_wholly_beyond(
    interval: tuple[float, float, float], verdict: Verdict
) -> None:
    assert decide(measured(*interval), 4.0)[0] is verdict


def test_soft_in_the_narrowest_direction_too_is_out_of_focus() -> None:
    assert decide(measured(6, 7, 8), 4.0) == (Verdict.SOFT, Cause.DEFOCUS)


def test_soft_in_one_direction_and_maybe_not_in_the_other_has_no_cause() -> None:
    unsure = replace(measured(6, 7, 8), narrowest=EdgeWidth(4.5, 3.5, 6))
    assert decide(unsure, 4.0) == (Verdict.SOFT, None)


def test_a_movement_has_no_cause_while_nobody_knows_who_moved() -> None:
    assert decide(measured(6, 7, 8, Motion(20, 3)), 4.0) == (Verdict.SOFT, None)


@pytest.mark.parametrize("reason", [Cause.NO_DETAIL, Cause.TOO_NOISY])
def test_what_cannot_be_measured_is_unjudged_for_its_reason(reason: Cause) -> None:
    nothing = Measurement(None, None, None, reason, 0.02, 3, 0.0)
    assert decide(nothing, 4.0) == (Verdict.UNJUDGED, reason)


HERE = Rect(100, 100, 256, 256)
CLEARLY = EdgeWidth(2.2, 1.8, 2.8)


ACROSS = EdgeWidth(3.0, 2.0, 4.5)


def shaken(across: EdgeWidth = ACROSS) -> Measurement:
    return replace(measured(6, 8, 11, Motion(20, 2.7)), narrowest=across)


@pytest.mark.parametrize(
    ("around", "cause"),
    [
        (Around(moved=5, still=0, looked=14), Cause.CAMERA_SHAKE),
        (Around(moved=6, still=2, looked=14), Cause.CAMERA_SHAKE),
        (Around(moved=0, still=5, looked=14), Cause.SUBJECT_MOTION),
        (Around(moved=1, still=9, looked=14), Cause.SUBJECT_MOTION),
        (Around(moved=4, still=6, looked=14), Cause.SUBJECT_MOTION),
        # A background out of focus bears no witness either way.
        (Around(moved=0, still=0, looked=14), None),
        (Around(moved=2, still=0, looked=14), None),
        (Around(moved=0, still=2, looked=14), None),
        (Around(moved=4, still=4, looked=14), None),
    ],
)
def test_who_moved_is_told_by_the_rest_of_the_frame(around: Around, cause: Cause | None) -> None:
    assert decide(shaken(), 4.0, around) == (Verdict.SOFT, cause)


def test_a_sharper_place_beside_a_movement_is_not_where_the_focus_went() -> None:
    around = Around((HERE, CLEARLY), moved=0, still=6, looked=14)
    assert decide(shaken(), 4.0, around) == (Verdict.SOFT, Cause.SUBJECT_MOTION)
    few = Around((HERE, CLEARLY), moved=0, still=1, looked=14)
    assert decide(shaken(), 4.0, few) == (Verdict.SOFT, None)


def test_a_movement_does_not_explain_edges_that_are_wide_across_it() -> None:
    around = Around((HERE, CLEARLY), moved=0, still=6, looked=14)
    assert decide(shaken(EdgeWidth(5, 4.2, 6)), 4.0, around) == (Verdict.SOFT, None)


def test_focus_is_elsewhere_where_the_area_is_surely_softer_in_every_direction() -> None:
    around = Around((HERE, CLEARLY), looked=14)
    assert decide(measured(6, 7, 8), 4.0, around) == (Verdict.SOFT, Cause.FOCUS_ELSEWHERE)
    # A movement too faint to be sure of leaves the narrowest direction as sharp as that place.
    unsure = replace(measured(6, 8, 11), narrowest=EdgeWidth(4.0, 2.5, 6.0))
    assert decide(unsure, 4.0, around) == (Verdict.SOFT, None)
    # So wide one way against the other it may have moved, sure as its narrowest direction is.
    unlike = replace(measured(6, 8, 11), narrowest=EdgeWidth(4.2, 3.2, 5.6))
    assert decide(unlike, 4.0, around) == (Verdict.SOFT, None)


def test_a_sharper_place_that_is_not_sharp_either_is_not_where_the_focus_is() -> None:
    around = Around((HERE, EdgeWidth(5.0, 4.4, 5.7)), looked=14)
    assert decide(measured(6, 7, 8), 4.0, around) == (Verdict.SOFT, Cause.DEFOCUS)


def test_a_movement_that_the_whole_frame_shares_is_shake_though_the_area_hides_it() -> None:
    hidden = replace(measured(6, 8, 11), narrowest=EdgeWidth(4.0, 2.5, 6.0))
    assert decide(hidden, 4.0, Around(moved=6, looked=14))[1] is Cause.CAMERA_SHAKE
    assert decide(hidden, 4.0, Around(moved=3, looked=14))[1] is None
    assert decide(hidden, 4.0, Around(moved=4, looked=16))[1] is None
    assert decide(hidden, 4.0, Around(moved=6, still=3, looked=14))[1] is None
    # Out of focus in every direction is that, shaken or not.
    assert decide(measured(6, 7, 8), 4.0, Around(moved=6, looked=14))[1] is Cause.DEFOCUS


@pytest.mark.parametrize("interval", [(1.8, 2.2, 2.9), (3.0, 3.5, 4.1)])
def test_the_rest_of_the_frame_makes_no_other_verdict(
    interval: tuple[float, float, float],
) -> None:
    around = Around((HERE, EdgeWidth(0.9, 0.8, 1.0)), moved=9, looked=14)
    assert decide(measured(*interval), 4.0, around) == decide(measured(*interval), 4.0)
