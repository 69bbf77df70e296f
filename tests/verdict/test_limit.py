"""A purpose becomes a limit, and a camera's own floor is neither ignored nor punished."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tether.model import EdgeWidth, Exposure, Measurement, Pixels, Print, Purpose, Screen, Verdict
from tether.optics.floor import camera_px, floor_px, focused_px
from tether.verdict.decide import decide
from tether.verdict.limit import allowed

STUDIO = Exposure(f_number=5.6, pixel_pitch_um=4.35)
PURPOSES: st.SearchStrategy[Purpose] = (
    st.builds(Print, st.floats(1, 10_000), st.floats(10, 100_000))
    | st.builds(Screen, st.integers(100, 100_000))
    | st.builds(Pixels, st.floats(1, 50))
)


def test_a_print_allows_a_minute_of_arc_and_the_floor_in_squares() -> None:
    # 80 cm · 2.908882e-4 = 0.2327 mm on the print; 8256 px over 600 mm are 13.76 px a mm.
    limit = allowed(Print(60, 80), 8256, STUDIO)
    assert limit.px == pytest.approx(
        math.hypot(0.2327 * 13.76, floor_px(8256, 5.6, 4.35)), abs=0.01
    )
    assert limit.why == (
        "3.8 px: print 60 cm long seen from 80 cm allows 3.2 px (1 arcmin), "
        "pixel and lens make 2.1 px, added as squares"
    )


def test_a_screen_allows_a_pixel_of_its_own() -> None:
    limit = allowed(Screen(2064), 8256, STUDIO)
    assert limit.px == pytest.approx(math.hypot(4, floor_px(8256, 5.6, 4.35)), abs=0.01)
    assert "screen 2064 px long allows 4.0 px" in limit.why


def test_a_number_of_px_is_the_limit_itself() -> None:
    assert allowed(Pixels(4.0), 8256, STUDIO).px == 4.0
    assert allowed(Pixels(4.0), 8256, STUDIO).why == "4.0 px: set as edge_width_px"


def test_a_number_that_no_picture_of_this_camera_meets_says_so() -> None:
    limit = allowed(Pixels(1.5), 8256, STUDIO)
    assert limit.px == 1.5
    assert "pixel and lens alone make 2.1 px" in limit.why


@given(st.integers(100, 20_000), st.floats(1, 32), st.floats(0.5, 20), st.floats(0.001, 0.1))
def test_a_purpose_finer_than_the_camera_makes_no_frame_soft_by_itself(
    long_side: int, f_number: float, pitch: float, metres: float
) -> None:
    taken = Exposure(f_number=f_number, pixel_pitch_um=pitch)
    limit = allowed(Print(1000, 100 * metres), long_side, taken)
    width = floor_px(long_side, f_number, pitch)
    perfect = Measurement(EdgeWidth(width, width, width), EdgeWidth(width, width, width),
                          None, None, 0.0, 200, 0.0)  # fmt: skip
    # A hundredth of a px is what the limit is rounded to.
    assert limit.px >= width - 0.01
    assert decide(perfect, limit.px + 0.01)[0] is Verdict.SHARP


def test_a_coarse_purpose_hardly_sees_the_camera() -> None:
    assert allowed(Screen(400), 8000, STUDIO).px == pytest.approx(20, rel=0.01)


def test_an_aperture_closed_too_far_is_not_excused() -> None:
    shut = Exposure(f_number=22, pixel_pitch_um=3.76)
    assert allowed(Print(84, 50), 9504, shut).px < focused_px(9504, 22, 3.76)


def test_what_the_file_does_not_tell_is_said() -> None:
    why = allowed(Screen(2000), 6000, Exposure(pixel_pitch_um=4.0)).why
    assert "(f-number unknown)" in why
    why = allowed(Screen(2000), 6000, Exposure(f_number=8)).why
    assert "(pixel pitch unknown)" in why
    limit = allowed(Screen(2000), 6000, Exposure())
    assert limit.px == pytest.approx(math.hypot(3, camera_px(6000)), abs=0.01)


@given(
    PURPOSES, st.integers(1, 60_000), st.none() | st.floats(0.7, 64), st.none() | st.floats(0.3, 99)
)
def test_every_limit_is_a_number_with_one_line(
    purpose: Purpose, long_side: int, f_number: float | None, pitch: float | None
) -> None:
    limit = allowed(purpose, long_side, Exposure(f_number=f_number, pixel_pitch_um=pitch))
    assert 0 < limit.px < math.inf
    assert "\n" not in limit.why
    assert not any(word in limit.why for word in ("None", "nan", "inf "))


def test_a_picture_with_too_few_pixels_for_its_print_is_told_how_many_would_do() -> None:
    why = allowed(Print(60, 80), 1800, STUDIO).why
    # 0.2327 mm at 80 cm, one minute of arc: 600 mm / 0.2327 mm = 2578 px.
    assert why.endswith("; 1800 px are few for it, 2579 would do")
    assert "few" not in allowed(Print(60, 80), 6000, STUDIO).why
