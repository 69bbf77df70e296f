"""Advice says what to change with this frame's numbers, and contradicts none of them."""

from __future__ import annotations

from tests.verdict.test_decide import measured
from tether.model import Cause, Exposure, Measurement, Motion, Source, Verdict
from tether.verdict.advice import advise

AT_85 = Exposure(1 / 60, 2.8, 85.0, 200, None, None, 6.0)


def said(
    verdict: Verdict,
    measurement: Measurement,
    cause: Cause | None = None,
    exposure: Exposure = AT_85,
    source: Source = Source.SUBJECT_AREA,
) -> tuple[str, ...]:
    # 6000 px of 6 µm are 36 mm: 35 mm terms are the lens's own.
    return advise(verdict, cause, measurement, 4.0, exposure, source, 6000)


def test_after_a_sharp_frame_nothing_is_said() -> None:
    assert said(Verdict.SHARP, measured(2, 2.4, 3)) == ()


def test_out_of_focus_asks_to_refocus_there() -> None:
    first, second = said(Verdict.SOFT, measured(6, 7, 8), Cause.DEFOCUS)
    assert first.startswith("Refocus on the subject area")
    assert "7.0 px" in second
    assert "4.0 allowed" in second


def test_what_cannot_be_told_apart_is_not() -> None:
    first, second = said(Verdict.SOFT, measured(6, 7, 8))
    assert "refocused and held steady" in first
    assert "does not tell focus from movement" in second


def test_where_no_area_is_known_it_says_what_was_judged() -> None:
    first, _ = said(Verdict.SOFT, measured(6, 7, 8), Cause.DEFOCUS, Exposure(), Source.FRAME_CENTRE)
    assert "frame's centre was judged" in first


def test_a_slow_shutter_is_named_with_the_one_that_would_do() -> None:
    # One over twice the focal length in 35 mm terms: common practice, no source.
    first, second = said(Verdict.SOFT, measured(6, 7, 8, Motion(20, 2.6)))
    assert "1/60 s at 85 mm" in first
    assert "1/170 s" in first
    assert "2.6 times wider along 20°" in second


def test_a_fast_shutter_is_not_blamed() -> None:
    first, _ = said(
        Verdict.SOFT,
        measured(6, 7, 8, Motion(20, 2.6)),
        exposure=Exposure(1 / 500, 2.8, 85.0, 200, None, None, 6.0),
    )
    assert "1/500 s holds a hand's shake" in first
    assert "moving subject" in first


def test_without_metadata_no_number_is_made_up() -> None:
    first, _ = said(Verdict.SOFT, measured(6, 7, 8, Motion(20, 2.6)), exposure=Exposure())
    assert not any(character.isdigit() for character in first)


def test_nothing_to_judge_says_where_to_look() -> None:
    nothing = Measurement(None, None, None, Cause.NO_DETAIL, 0.002, 3, 0.0, "no edges")
    first, second = said(Verdict.UNJUDGED, nothing, Cause.NO_DETAIL)
    assert "where there is an edge" in first
    assert "subject area (no edges)" in second


def test_too_noisy_names_the_iso() -> None:
    nothing = Measurement(None, None, None, Cause.TOO_NOISY, 0.05, 3, 0.0)
    assert "ISO 200" in said(Verdict.UNJUDGED, nothing, Cause.TOO_NOISY)[0]


def test_never_more_than_two_lines() -> None:
    for verdict in Verdict:
        assert len(said(verdict, measured(6, 7, 8, Motion(20, 2.6)))) <= 2
