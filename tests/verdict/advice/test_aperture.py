"""The f-number: closed too far, too wide for the subject, or as it should be."""

from __future__ import annotations

from dataclasses import replace

from tests.verdict.facts import measured, said
from tether.model import Around, Cause, EdgeWidth, Rect
from tether.optics import floor

SHUT = {"f_number": 22.0, "pixel_pitch_um": 3.76}
WIDE = {"width": 9504, "height": 6336}
# f/22 at 3.76 µm: 1.33287 · 0.55 · 22 / 3.76 = 4.29 px; with pixel and lens 4.73 px.
SPREAD = measured(4.6, 4.8)


def test_f_22_soft_everywhere_is_opened_up() -> None:
    first, second = said(Cause.DEFOCUS, SHUT, measurement=SPREAD, **WIDE).splitlines()
    # 4.0² - 2.01² leaves 3.46 px: f/17.7.
    assert first == "Open up to f/16: f/22 is closed too far for this limit."
    assert second == "Edges 4.8 px wide, 4.0 allowed; diffraction at f/22 alone makes 4.3 px."


def test_the_stop_advised_is_within_the_limit() -> None:
    assert floor.focused_px(9504, 16, 3.76) <= 4.0


def test_edges_wider_than_diffraction_makes_them_are_out_of_focus() -> None:
    told = said(Cause.DEFOCUS, SHUT, measurement=measured(11, 12), **WIDE)
    assert told.startswith("Refocus")


def test_what_is_sharper_elsewhere_is_not_diffraction() -> None:
    around = Around((Rect(0, 0, 9, 9), EdgeWidth(2.5, 2.2, 2.8)), 0, 0, 9)
    told = said(Cause.DEFOCUS, SHUT, measurement=SPREAD, around=around, **WIDE)
    assert "Open" not in told


def test_without_the_pixel_pitch_diffraction_is_not_blamed() -> None:
    unknown = {"f_number": 22.0, "pixel_pitch_um": None}
    assert "Open" not in said(Cause.DEFOCUS, unknown, measurement=SPREAD, **WIDE)


def test_a_limit_that_nothing_meets_is_named() -> None:
    strict = 1.2
    told = said(Cause.DEFOCUS, measurement=measured(1.7, 1.8), limit_px=strict)
    # 24 million pixels at f/4: 1.8 px.
    assert told.startswith("Set the limit to 1.8 px or more")
    assert "pixel and lens alone make them 1.8 px" in told


def test_a_subject_deeper_than_the_depth_of_field_is_told_the_stop_that_holds_it() -> None:
    known = {"focus_distance_mm": 800.0, "depth_needed_mm": 40.0}
    taken = {"f_number": 2.8, "focal_length_mm": 85.0}
    first, second = said(Cause.DEFOCUS, taken, **known).splitlines()
    # At f/8 diffraction and camera leave a disk of 5.06 px, 30 µm, and 38.5 mm between its limits.
    assert first == "Stop down to f/9: the subject is 40 mm deep."
    assert second == "Edges 7.0 px wide, 4.0 allowed; f/2.8 holds 14 mm at 0.8 m."


def test_a_depth_that_is_held_is_not_asked_for_again() -> None:
    known = {"focus_distance_mm": 800.0, "depth_needed_mm": 40.0}
    told = said(Cause.DEFOCUS, {"f_number": 9.0}, **known)
    assert told.startswith("Refocus")


def test_a_depth_that_no_stop_holds_is_stacked() -> None:
    known = {"focus_distance_mm": 400.0, "depth_needed_mm": 90.0}
    told = said(Cause.DEFOCUS, {"f_number": 8.0}, **known)
    assert told.startswith("Step back, or stack: no stop holds 90 mm here.")


def test_opening_up_is_not_advised_where_the_depth_would_be_lost() -> None:
    known = {"focus_distance_mm": 800.0, "depth_needed_mm": 120.0}
    told = said(Cause.DEFOCUS, SHUT, measurement=SPREAD, **known, **WIDE)
    assert told.startswith("Step back, or stack: at f/16 only")
    assert "Open up" not in told


def test_a_limit_that_f_22_cannot_meet_is_no_reason_to_stop_down() -> None:
    strict = replace(SPREAD, widest=EdgeWidth(4.8, 4.3, 5.3))
    told = said(Cause.DEFOCUS, SHUT, measurement=strict, limit_px=1.5, **WIDE)
    # 1.005 px, half of what pixel and lens make, is f/5.15.
    assert told.startswith("Open up to f/5: f/22 is closed too far")
