"""Where focus missed: what to point at, which way, and whether the lens is at fault."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.verdict.facts import OUT, SOFT, said
from tether.model import Around, Cause, EdgeWidth, FocusArea, FocusMode, Rect, Source
from tether.verdict.advice.focus import direction

FRONT, BACK, ELSEWHERE = Cause.FRONT_FOCUS, Cause.BACK_FOCUS, Cause.FOCUS_ELSEWHERE
EYE = FocusArea(SOFT.area.rect, Source.NEAREST_EYE)


def test_out_of_focus_asks_to_refocus_there() -> None:
    first, second = said(Cause.DEFOCUS).splitlines()
    assert first == "Refocus on the subject area, one focus point, and take it again."
    assert second == "Edges 7.0 px wide, 4.0 allowed, too wide in every direction: out of focus."


def test_where_no_area_is_known_it_says_what_was_judged() -> None:
    centre = FocusArea(SOFT.area.rect, Source.FRAME_CENTRE)
    assert "frame's centre was judged" in said(Cause.DEFOCUS, area=centre)


def test_the_zones_own_words_are_the_second_line() -> None:
    told = said(FRONT, area=EYE, where="the nose is sharper than the near eye")
    assert told.splitlines() == [
        "Focus lies in front of the nearest eye: refocus, one point.",
        "The nose is sharper than the near eye; edges 7.0 px wide, 4.0 allowed.",
    ]


def test_back_focus_lies_behind() -> None:
    assert said(BACK).startswith("Focus lies behind the subject area")


def test_how_far_is_said_where_the_focus_distance_is_known() -> None:
    # 7.0 px against 1.79 px in focus are a disk of 9.85 px, 59.1 µm. For 85 mm at f/4 and 2 m
    # h = 85² / (4 · 0.0591) = 30.56 m: 30.56 · 2 / (30.56 - 1.915) = 2.134 m, and 1.882 m.
    told = said(FRONT, focus_distance_mm=2000.0)
    assert "about 134 mm in front of" in told
    assert "about 118 mm behind" in said(BACK, focus_distance_mm=2000.0)


@pytest.mark.parametrize(
    ("history", "bench"),
    [
        ((), False),
        ((FRONT,), False),
        ((FRONT, FRONT), True),
        ((FRONT, None, FRONT, None), True),
        ((FRONT, FRONT, None, None, None, None), False),
        ((FRONT, FRONT, BACK, BACK), False),
    ],
)
def test_front_focus_again_and_again_is_measured_at_the_bench(
    history: tuple[Cause | None, ...], *, bench: bool
) -> None:
    told = said(FRONT, history=history)
    assert ("measure the lens's offset at the bench" in told) is bench


def test_the_habit_is_counted() -> None:
    told = said(BACK, history=(BACK, None, BACK, BACK))
    assert told.startswith("Back focus in 4 of 5 frames: measure the lens's offset")
    assert "until then refocus, one focus point" in told


def test_both_sides_by_turns_is_no_offset() -> None:
    told = said(FRONT, history=(BACK, FRONT, BACK))
    assert told.startswith("Focus misses to both sides by turns, no lens's offset")


def test_focus_elsewhere_names_the_place_and_what_to_point_at() -> None:
    around = Around((Rect(1000, 1800, 300, 300), EdgeWidth(2.1, 1.8, 2.4)), 0, 0, 9)
    first, second = said(ELSEWHERE, around=around).splitlines()
    assert first == "Put one focus point on the nearest eye or the label: focus lies elsewhere."
    assert second == "Edges 7.0 px wide, 4.0 allowed; edges of 2.1 px to the left of it."
    assert "on the nearest eye: focus" in said(ELSEWHERE, around=around, area=EYE)


def test_focus_elsewhere_without_a_place_names_none() -> None:
    assert said(ELSEWHERE).splitlines()[1] == "Edges 7.0 px wide, 4.0 allowed."


@pytest.mark.parametrize(
    ("orientation", "side"),
    [(1, "right"), (2, "left"), (3, "left"), (4, "right"),
     (5, "below"), (6, "below"), (7, "above"), (8, "above")],
)  # fmt: skip
def test_sides_are_those_of_the_picture_the_right_way_up(orientation: int, side: str) -> None:
    # CIPA DC-008, tag 0x0112: what lies at the right of the stored image is shown there.
    here, right = Rect(100, 100, 50, 50), Rect(900, 100, 50, 50)
    assert side in direction(here, right, orientation)


def test_corners_are_named() -> None:
    assert direction(Rect(500, 500, 10, 10), Rect(100, 100, 10, 10), 1) == "to the upper left of it"


def test_a_fast_lens_wide_open_is_told_where_it_is_best() -> None:
    # f/1.4 is at its best near f/2.8 to f/4: common practice, no source.
    assert "an f/1.4 lens is best near f/2.8 to f/4" in said(Cause.DEFOCUS, {"f_number": 1.4})


@pytest.mark.parametrize(
    ("lens", "f_number", "told"),
    [
        ("Studio 85mm f/1.8", 2.0, "f/1.8 lens is best near f/3.5 to f/5"),
        ("XF35mmF1.4 R", 1.8, "f/1.4 lens is best near f/2.8 to f/4"),
        ("Macro 100mm F2.8", 2.8, "f/2.8 lens is best near f/5.6 to f/8"),
        ("Studio 85mm f/1.8", 4.0, None),
        ("EF50mm f/1.4", 8.0, None),
        ("Kit 18-55mm f/3.5-5.6", 3.5, None),
        (None, 5.6, None),
        (None, None, None),
    ],
)
def test_only_a_lens_near_wide_open_is_stopped_down(
    lens: str | None, f_number: float | None, told: str | None
) -> None:
    said_of_it = said(Cause.DEFOCUS, {"lens": lens, "f_number": f_number})
    assert (told in said_of_it) if told else ("is best" not in said_of_it)


def test_widths_that_print_alike_get_another_digit() -> None:
    near = replace(OUT, widest=EdgeWidth(4.03, 4.01, 4.2))
    assert "Edges 4.03 px wide, 4.00 allowed" in said(None, measurement=near)


def test_by_hand_no_focus_point_and_no_lens_is_at_fault() -> None:
    by_hand = {"focus_mode": FocusMode.MANUAL}
    assert said(Cause.DEFOCUS, by_hand).startswith("Refocus on the subject area, magnified, and")
    assert said(ELSEWHERE, by_hand).startswith("Focus on the nearest eye or the label, magnified")
    told = said(FRONT, by_hand, history=(FRONT, FRONT, FRONT))
    assert told.startswith("Focus lies in front of the subject area: refocus, magnified.")


def test_a_region_is_called_what_it_is() -> None:
    region = FocusArea(SOFT.area.rect, Source.REGION_METADATA)
    assert said(Cause.DEFOCUS, area=region).startswith("Refocus on the metadata's region, one")
