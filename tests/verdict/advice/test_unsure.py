"""Where nothing is judged, or nothing is sure, advice says where to look."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.verdict.facts import SOFT, said
from tether.model import Cause, EdgeWidth, Measurement, Verdict
from tether.verdict.advice import advise

NOTHING = Measurement(None, None, None, Cause.NO_DETAIL, 0.002, 3, 0.0, "no edges")
UNJUDGED = replace(SOFT, verdict=Verdict.UNJUDGED, cause=Cause.NO_DETAIL, measurement=NOTHING)


def test_after_a_sharp_frame_nothing_is_said() -> None:
    assert advise(replace(SOFT, verdict=Verdict.SHARP)) == ()


def test_nothing_to_judge_says_where_to_look() -> None:
    first, second = advise(UNJUDGED)
    assert "where there is an edge" in first
    assert second == "Nothing to judge in the subject area (no edges)."


def test_a_clipped_area_is_brought_back() -> None:
    clipped = replace(NOTHING, clipped=0.8, note="80% of the area is clipped to black or white")
    first, second = advise(replace(UNJUDGED, measurement=clipped))
    assert first.startswith("Bring the exposure back")
    assert "80% of the area is clipped" in second


@pytest.mark.parametrize(("iso", "lower"), [(6400, True), (100, False), (None, False)])
def test_too_noisy_asks_for_light_and_for_a_lower_iso_where_there_is_one(
    iso: int | None, *, lower: bool
) -> None:
    facts = replace(UNJUDGED, cause=Cause.TOO_NOISY, exposure=replace(SOFT.exposure, iso=iso))
    first = advise(facts)[0]
    assert first.startswith("More light")
    assert (f"lower ISO than {iso}" in first) is lower


def test_what_cannot_be_read_is_copied_again() -> None:
    assert advise(replace(UNJUDGED, cause=Cause.UNREADABLE))[0].startswith("Copy the file again")


def test_borderline_is_looked_at() -> None:
    near = replace(SOFT.measurement, widest=EdgeWidth(4.0, 3.2, 4.9))
    told = said(verdict=Verdict.BORDERLINE, measurement=near)
    assert "between 3.2 and 4.9 px wide, 4.0 allowed: too close to tell" in told


def test_what_cannot_be_told_apart_is_not() -> None:
    first, second = said(None, {"shutter_s": None}).splitlines()
    assert first == "Take it again, refocused and held steady."
    assert second == "Edges 7.0 px wide, 4.0 allowed; this area does not tell focus from movement."


def test_the_shutter_says_which_to_look_at_first() -> None:
    told = said(None, {"shutter_s": 1 / 500})
    assert told.startswith("Refocus and take it again: 1/500 s at 85 mm holds a hand's shake.")
    told = said(None, {"shutter_s": 1 / 15})
    assert told.startswith("Refocus, and by hand take 1/200 s: 1/15 s at 85 mm is slow.")
