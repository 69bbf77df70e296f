"""What cannot be measured is refused, with the reason and what to change."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sharpness.edges_known import Blur, F, edge
from tether.sharpness.slanted_edge.measure import slanted_edge
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

SHARP = Blur("Gaussian", 1.0)


def noisy(light: F, noise: float = 0.006) -> F:
    return light + np.random.default_rng(8).normal(0, noise, light.shape)


def assert_refused(light: F, reason: Unfit, words: str) -> None:
    with pytest.raises(UnfitEdge, match=words) as refused:
        slanted_edge(light)
    assert refused.value.reason is reason


@pytest.mark.parametrize("noise", [0.0, 0.01, 0.1])
def test_even_ground_has_no_edge(noise: float) -> None:
    assert_refused(noisy(np.full((80, 80), 0.5), noise), Unfit.NO_EDGE, "no edge")


def test_a_ramp_is_no_edge() -> None:
    ramp = np.broadcast_to(np.linspace(0.2, 0.8, 100), (100, 100))
    assert_refused(noisy(ramp), Unfit.TOO_SMALL, "no single edge")


@pytest.mark.parametrize("apart", [3, 10, 25])
def test_a_bar_has_two_edges(apart: int) -> None:
    light = edge(SHARP)
    bar = light - np.roll(light, apart, 1) + 0.3
    bar[:, :apart] = 0.3
    assert_refused(noisy(bar), Unfit.SEVERAL_EDGES, "more than one edge")


@pytest.mark.parametrize(
    ("second", "apart"), [(0.3, 15.0), (0.5, 15.0), (0.15, 45.0), (0.3, 45.0), (0.5, 45.0)]
)
def test_stairs_have_two_edges(second: float, apart: float) -> None:
    stairs = 0.5 * edge(SHARP, middle=-20.0) + second * edge(SHARP, middle=apart - 20)
    assert_refused(noisy(stairs, 0.002), Unfit.SEVERAL_EDGES, "more than one edge")


def test_a_faint_edge_close_by_is_refused_too() -> None:
    faint = 0.5 * edge(SHARP, middle=-20.0) + 0.15 * edge(SHARP, middle=-5.0)
    assert_refused(noisy(faint, 0.002), Unfit.TOO_SMALL, "no single edge")


def test_a_mark_beside_the_edge_is_told() -> None:
    light = edge(SHARP)
    light[20:30, 75:85] = 0.4
    assert_refused(light, Unfit.SEVERAL_EDGES, "light beside it differs")


def test_a_step_that_drowns_in_noise_has_too_low_a_contrast() -> None:
    drowned = noisy(edge(SHARP, levels=(0.5, 0.535)), 0.01)
    assert_refused(drowned, Unfit.LOW_CONTRAST, "contrast is 3")
    unsure = noisy(edge(Blur("disk", 1.0), shape=(40, 60), levels=(0.5, 0.58)), 0.01)
    assert_refused(unsure, Unfit.LOW_CONTRAST, "uncertain by")


def test_clipped_plateaus_are_told_by_their_end() -> None:
    assert_refused(np.clip(edge(SHARP, levels=(0.2, 1.1)), 0, 1), Unfit.CLIPPED, "to white")
    assert_refused(np.clip(edge(SHARP, levels=(-0.1, 0.8)), 0, 1), Unfit.CLIPPED, "to black")
    raw = 4095 * edge(SHARP)
    assert_refused(raw, Unfit.CLIPPED, "from 0 to 1")
    assert slanted_edge(raw, scale=(0, 4095)).contrast == pytest.approx(0.6 * 4095)


@pytest.mark.parametrize("tilt", [0.0, 0.3, 45.0, 90.0, 89.6])
def test_edges_that_meet_the_pixels_at_few_phases(tilt: float) -> None:
    assert_refused(edge(SHARP, tilt), Unfit.ANGLE, "tilt it by about 5 degrees")


@pytest.mark.parametrize("tilt", [1.0, 44.0, 46.0, 88.0])
def test_close_to_those_angles_it_is_measured(tilt: float) -> None:
    assert slanted_edge(edge(SHARP, tilt)).mtf50 == pytest.approx(0.17996, rel=0.01)


def test_areas_that_are_too_small_or_hold_the_edge_at_their_border() -> None:
    assert_refused(edge(SHARP, shape=(19, 60)), Unfit.TOO_SMALL, "60 x 19 px")
    assert_refused(edge(SHARP, middle=45.0), Unfit.TOO_SMALL, "one side of the edge")
    assert_refused(edge(Blur("disk", 40.0)), Unfit.TOO_SMALL, "too blurred for this area")


def test_a_step_that_was_drawn_and_not_photographed() -> None:
    row, column = np.indices((100, 100))
    drawn = np.where(column + 0.0875 * row > 54.3, 0.8, 0.2)
    assert_refused(drawn, Unfit.UNDERSAMPLED, "no lens and pixel")


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_values_that_are_not_finite(value: float) -> None:
    light = edge(SHARP)
    light[3, 3] = value
    assert_refused(light, Unfit.NOT_FINITE, "not finite")


def test_what_is_no_light_or_no_number_is_an_error_of_the_caller() -> None:
    with pytest.raises(TypeError, match="float, not uint8"):
        slanted_edge(np.zeros((50, 50), np.uint8))
    with pytest.raises(ValueError, match="two dimensions"):
        slanted_edge(np.zeros((50, 50, 3)))
    light = edge(SHARP)
    with pytest.raises(ValueError, match="pixel pitch must be positive"):
        slanted_edge(light, pixel_pitch_um=0)
    with pytest.raises(ValueError, match="picture height must be positive"):
        slanted_edge(light, picture_height_px=-1)
    with pytest.raises(ValueError, match="diffraction must be 0 px or more"):
        slanted_edge(light, diffraction_px=math.nan)
    with pytest.raises(ValueError, match="coding error must be 0 or more"):
        slanted_edge(light, coding_error=-0.01)
    with pytest.raises(ValueError, match="black 1 must lie below white 0"):
        slanted_edge(light, scale=(1, 0))


@settings(max_examples=150, deadline=None)
@given(
    st.integers(1, 90),
    st.integers(1, 90),
    st.sampled_from(["noise", "two", "blocks", "waves", "comb", "edge", "spike"]),
    st.integers(0, 2**32 - 1),
)
def test_whatever_the_light_it_is_measured_or_refused(
    rows: int, columns: int, ground: str, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    y, x = np.indices((rows, columns))
    light: F
    if ground == "noise":
        light = rng.random((rows, columns))
    elif ground == "two":
        light = rng.choice([0.1, 0.9], (rows, columns))
    elif ground == "blocks":
        few = rng.random((rows // 9 + 1, columns // 9 + 1))
        light = few.repeat(9, 0).repeat(9, 1)
    elif ground == "waves":
        waves = np.sin(x / rng.uniform(0.5, 30) + y / rng.uniform(0.5, 30))
        light = np.asarray(0.5 + 0.3 * waves, np.float64)
    elif ground == "comb":
        light = np.asarray(x % 7 / 7 * 0.8 + 0.1, np.float64)
    elif ground == "spike":
        light = np.full((rows, columns), 0.5)
        light[rng.integers(rows), rng.integers(columns)] = 0.9
    else:
        light = edge(SHARP, float(rng.integers(0, 90)), (rows, columns))
    noise = float(rng.choice([0, 1e-3]))
    light = np.asarray(light[:rows, :columns] + rng.normal(0, noise, (rows, columns)))
    with np.errstate(all="raise", under="ignore"):
        try:
            found = slanted_edge(light)
        except UnfitEdge as refused:
            assert str(refused)
            return
    low, high = found.mtf50_95
    assert 0 <= low < found.mtf50 < high
    assert 0 <= found.angle_deg < 180
    assert found.rise_10_90_px > 0 and np.isfinite(found.response).all()
