"""How long a hand holds still, and how short a movement asks the shutter to be."""

from __future__ import annotations

import pytest

from tests.optics import edges
from tether.optics.shutter import equivalent_mm, moved_px, slowest_handheld_s, stilling_s


@pytest.mark.parametrize(("focal_mm", "slowest"), [(50, 1 / 100), (85, 1 / 170), (200, 1 / 400)])
def test_one_over_twice_the_focal_length(focal_mm: float, slowest: float) -> None:
    # Common practice, no source.
    assert slowest_handheld_s(focal_mm) == pytest.approx(slowest)


def test_a_small_sensor_lengthens_the_lens() -> None:
    # 6000 px of 3.9 µm are 23.4 mm: 36 / 23.4 = 1.54 times.
    assert equivalent_mm(50, 3.9, 6000) == pytest.approx(76.92, abs=0.01)


@pytest.mark.parametrize("way", [3.0, 8.0, 20.0])
def test_the_way_moved_from_the_edges_along_and_across(way: float) -> None:
    # Of a box of that length behind a Gaussian, which is what is across.
    across = edges.gaussian(0.9)
    along = edges.width(edges.together(edges.box(way), across))
    assert moved_px(along, edges.width(across)) == pytest.approx(way, rel=0.06)


def test_what_is_no_wider_along_has_not_moved() -> None:
    assert moved_px(2.0, 2.5) == 0


def test_a_quarter_of_the_way_is_a_quarter_of_the_time() -> None:
    assert stilling_s(1 / 30, 16, 4) == pytest.approx(1 / 120)
