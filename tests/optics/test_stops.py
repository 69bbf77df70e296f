"""The stops that cameras can be set to."""

from __future__ import annotations

import math

import pytest

from tether.optics.stops import (
    F_NUMBERS,
    PARTS_OF_A_SECOND,
    f_number_near,
    f_number_within,
    time_stops,
    time_within,
)


def test_f_numbers_are_thirds_of_stops() -> None:
    # Exact values 2^(i/6) (S. Ray's list); the largest error of a marking is f/1.2, 0.141 stop.
    for i, marked in enumerate(F_NUMBERS):
        assert abs(2 * math.log2(marked / 2 ** (i / 6))) < 0.15


def test_times_are_thirds_of_stops() -> None:
    # 1/60 s is marked for 1/64 s, 0.093 stop; all others lie closer.
    for i, part in enumerate(PARTS_OF_A_SECOND):
        assert abs(math.log2(part / 2 ** (13 - i / 3))) < 0.1


@pytest.mark.parametrize(
    ("seconds", "marked"),
    [(1 / 170, 200), (1 / 200, 200), (0.008, 125), (0.3, 4), (30.0, 4), (1 / 8000, 8000)],
)
def test_the_longest_time_that_is_short_enough(seconds: float, marked: int) -> None:
    found = time_within(seconds)
    assert found is not None
    assert found == pytest.approx(1 / marked)


def test_no_shutter_is_shorter_than_the_shortest() -> None:
    assert time_within(1 / 10_000) is None


def test_the_stop_below_and_the_nearest() -> None:
    assert (f_number_within(10.7), f_number_near(10.7)) == (10.0, 11.0)
    assert (f_number_within(8), f_number_near(8)) == (8.0, 8.0)
    assert (f_number_within(0.9), f_number_near(0.9)) == (None, 1.0)


def test_four_times_shorter_is_two_stops() -> None:
    # CIPA DC-X011 counts in log2 of times: four times is two stops.
    assert time_stops(1 / 50, 1 / 200) == pytest.approx(2.0)
