"""What does not change an edge's sharpness does not change what is read."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sharpness.edges_known import Blur, edge
from tether.sharpness.slanted_edge.measure import slanted_edge
from tether.sharpness.slanted_edge.result import SlantedEdge

NO_SCALE = (-math.inf, math.inf)
NOISY = edge(Blur("disk", 3.0), 7.0, (90, 110)) + np.random.default_rng(1).normal(
    0, 0.004, (90, 110)
)
READ = slanted_edge(NOISY)


def assert_same(found: SlantedEdge) -> None:
    assert found.mtf50 == pytest.approx(READ.mtf50, rel=1e-6)
    assert found.mtf50_error == pytest.approx(READ.mtf50_error, rel=1e-4)
    assert found.rise_10_90_px == pytest.approx(READ.rise_10_90_px, rel=1e-6)
    assert found.response == pytest.approx(READ.response, abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(st.floats(1e-4, 1e5), st.floats(-50, 50), st.sampled_from([1, -1]))
def test_gain_offset_and_polarity(gain: float, offset: float, sign: int) -> None:
    found = slanted_edge(sign * gain * (NOISY + offset), scale=NO_SCALE)
    assert_same(found)
    assert found.contrast == pytest.approx(gain * READ.contrast, rel=1e-6)
    assert found.noise == pytest.approx(gain * READ.noise, rel=1e-6)


def test_turning_by_90_degrees_turns_the_angle() -> None:
    for turns in range(4):
        found = slanted_edge(np.rot90(NOISY, turns))  # counter-clockwise
        assert_same(found)
        assert found.angle_deg == pytest.approx((READ.angle_deg + 90 * turns) % 180, abs=1e-6)


def test_flipping_mirrors_the_angle() -> None:
    for flipped in (NOISY[::-1], NOISY[:, ::-1]):
        found = slanted_edge(flipped)
        assert_same(found)
        assert found.angle_deg == pytest.approx(180 - READ.angle_deg, abs=1e-6)


def test_an_edge_that_leans_to_the_upper_right_is_under_90_degrees() -> None:
    light = edge(Blur("Gaussian", 1.0), 10.0)
    assert light[0, 55] < light[-1, 55]  # rows run down: the dark left reaches farther right above
    assert slanted_edge(light).angle_deg == pytest.approx(80, abs=0.01)


@settings(max_examples=25, deadline=None)
@given(st.floats(-8, 8), st.floats(3, 38), st.integers(70, 120), st.integers(70, 120))
def test_where_the_edge_lies_in_the_area_does_not_matter(
    middle: float, tilt: float, rows: int, columns: int
) -> None:
    tilt = round(tilt, 0)  # rendering keeps one table a tilt
    found = slanted_edge(edge(Blur("Gaussian", 1.2), tilt, (rows, columns), middle=middle))
    assert found.mtf50 == pytest.approx(0.15221, rel=0.005)
    assert found.angle_deg == pytest.approx(90 - tilt, abs=0.01)


def test_the_same_pixels_give_the_same_numbers_and_stay_as_they_are() -> None:
    before = NOISY.copy()
    again = slanted_edge(NOISY)
    assert (before == NOISY).all()
    assert again.mtf50 == READ.mtf50 and (again.response == READ.response).all()
