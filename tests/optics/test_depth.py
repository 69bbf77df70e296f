"""Depth of field, against worked figures in print and the thin lens's own formulas."""

from __future__ import annotations

import math

import pytest

from tests.optics import edges
from tether.optics.depth import disk_of_edge, holding, hyperfocal_mm, limits_mm

FOOT = 304.8
# Focal length mm, f-number, blur mm, focus mm, near mm, far mm: D. Jacobson, Photographic Lenses
# FAQ 10, near = h s / (h + (s - f)), far = h s / (h - (s - f)), h = f² / (N c).
ROWS = [
    (50, 2.8, 0.03, 2000, 1877.02, 2140.23),
    (50, 8, 0.03, 3000, 2337.91, 4185.27),
    (85, 1.8, 0.03, 2000, 1971.78, 2029.04),
    (85, 1.8, 0.005, 2000, 1995.24, 2004.78),
    (85, 4, 0.03, 2500, 2403.59, 2604.47),
    (100, 8, 0.03, 1000, 978.86, 1022.08),
    (35, 5.6, 0.02, 1500, 1322.82, 1731.99),
    (135, 2, 0.03, 3000, 2971.97, 3028.57),
    (100, 8, 0.03, 200, 199.5211, 200.4812),
]
Row = tuple[float, float, float, float, float, float]


@pytest.mark.parametrize("row", ROWS)
def test_near_and_far(row: Row) -> None:
    focal, f_number, blur, focus, near, far = row
    assert limits_mm(focal, f_number, blur, focus) == pytest.approx((near, far), abs=0.006)


def blur_mm(focal: float, f_number: float, focus: float, subject: float) -> float:
    # Jacobson, chapter 4: b = f² |d - s| / (N d (s - f)).
    return focal**2 * abs(subject - focus) / (f_number * subject * (focus - focal))


@pytest.mark.parametrize("row", ROWS)
def test_both_ends_are_blurred_by_what_is_allowed(row: Row) -> None:
    focal, f_number, blur, focus, *_ = row
    for end in limits_mm(focal, f_number, blur, focus):
        assert blur_mm(focal, f_number, focus, end) == pytest.approx(blur, rel=1e-9)


@pytest.mark.parametrize("row", ROWS)
def test_the_f_number_that_holds_a_depth_has_that_depth(row: Row) -> None:
    focal, f_number, blur, focus, *_ = row
    near, far = limits_mm(focal, f_number, blur, focus)
    assert holding(focal, blur, focus, far - near) == pytest.approx(f_number, rel=1e-9)


def test_a_navy_manuals_example() -> None:
    # NAVEDTRA 14209, Photography (Basic): 155 mm, f/2.8, 0.002 in, 10 ft: 9.8 to 10.2 ft, H 554 ft.
    near, far = limits_mm(155, 2.8, 0.0508, 10 * FOOT)
    assert (near / FOOT, far / FOOT) == pytest.approx((9.8, 10.2), abs=0.05)
    # Its 6.1 in are 154.94 mm.
    assert hyperfocal_mm(154.94, 2.8, 0.0508) / FOOT == pytest.approx(554, abs=1)


def test_an_army_courses_example() -> None:
    # SS0507, Learning Event 10: 2 in, f/8, 0.002 in: hyperfocal 20.8 ft, from 10.4 ft to infinity.
    focal = 2 * 25.4
    # It leaves the focal length itself out of the distance.
    h = hyperfocal_mm(focal, 8, 0.0508) - focal
    assert h / FOOT == pytest.approx(20.8, abs=0.05)
    near, far = limits_mm(focal, 8, 0.0508, h + focal)
    assert near / FOOT == pytest.approx(10.4, abs=0.1)
    assert far == math.inf


def test_hawkins_and_avon() -> None:
    # Photography, 1979: 70 mm, 0.021 mm: 29.2 m at f/8, 10.6 m at f/22, and from 5.3 m there.
    assert hyperfocal_mm(70, 8, 0.021) == pytest.approx(29_200, abs=100)
    assert hyperfocal_mm(70, 22, 0.021) == pytest.approx(10_600, abs=100)
    assert limits_mm(70, 22, 0.021, 10_600)[0] == pytest.approx(5300, abs=50)


def test_the_disk_behind_an_edge() -> None:
    assert disk_of_edge(edges.width(edges.disk(4.0))) == pytest.approx(4.0, rel=5e-3)
