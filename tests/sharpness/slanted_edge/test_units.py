"""Frequencies in cycles/px, LP/mm and LW/PH."""

from __future__ import annotations

import pytest

from tests.sharpness.edges_known import Blur, edge
from tether.sharpness.slanted_edge.measure import slanted_edge
from tether.sharpness.slanted_edge.result import Frequency

LIGHT = edge(Blur("Gaussian", 1.0))
FOUND = slanted_edge(LIGHT, pixel_pitch_um=6.0, picture_height_px=4000)


def test_a_quarter_cycle_a_pixel() -> None:
    # Units of ISO 12233: 0.25 cycles/px at 6 µm and 4000 px is 41.667 LP/mm and 2000 LW/PH.
    assert FOUND.in_unit(0.25, Frequency.CYCLES_PX) == 0.25
    assert FOUND.in_unit(0.25, Frequency.LP_MM) == pytest.approx(41.667, abs=5e-4)
    assert FOUND.in_unit(0.25, Frequency.LW_PH) == pytest.approx(2000)


def test_nyquist_in_line_widths_is_the_pictures_height() -> None:
    assert FOUND.in_unit(0.5, Frequency.LW_PH) == pytest.approx(4000)


def test_the_response_at_a_frequency_is_the_same_in_every_unit() -> None:
    plain = FOUND.response_at(0.25)
    # exp(-2π²σ²ν²) sinc ν at ν = 0.25, σ = 1: 0.29121 x 0.90032.
    assert plain == pytest.approx(0.26218, abs=0.003)
    assert FOUND.response_at(41.6667, Frequency.LP_MM) == pytest.approx(plain, abs=1e-4)
    assert FOUND.response_at(2000, Frequency.LW_PH) == pytest.approx(plain, abs=1e-9)
    assert FOUND.response_at(FOUND.mtf50) == pytest.approx(0.5, abs=1e-4)


def test_frequencies_out_of_range_are_refused() -> None:
    for frequency in (-0.1, 1.01):
        with pytest.raises(ValueError, match="from 0 to 1 cycles/px"):
            FOUND.response_at(frequency)
    with pytest.raises(ValueError, match="from 0 to 8000 LW/PH"):
        FOUND.response_at(9000, Frequency.LW_PH)


def test_units_that_need_a_figure_that_was_not_given_say_so() -> None:
    bare = slanted_edge(LIGHT)
    with pytest.raises(ValueError, match="pixel pitch"):
        bare.in_unit(0.25, Frequency.LP_MM)
    with pytest.raises(ValueError, match="picture's height"):
        bare.response_at(2000, Frequency.LW_PH)
