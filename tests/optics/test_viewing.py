"""What an eye can tell on a print or a screen."""

from __future__ import annotations

import pytest

from tether.optics.viewing import ACUITY_RAD, acuity_mm, print_edge_px, screen_edge_px


def test_acuity_is_one_minute_of_arc() -> None:
    # ISO 8596: acuity 1 is a Landolt ring whose gap subtends 1'; 1' is 2.908882e-4 rad.
    assert pytest.approx(2.908882e-4, rel=1e-6) == ACUITY_RAD


@pytest.mark.parametrize(
    ("distance", "gap"),
    [(250, 0.0727), (300, 0.0873), (400, 0.1164), (500, 0.1454), (1000, 0.2909)],
)
def test_the_gap_at_usual_distances(distance: float, gap: float) -> None:
    assert acuity_mm(distance) == pytest.approx(gap, abs=5e-5)


def test_the_letter_of_twenty_twenty() -> None:
    # Snellen: five minutes of arc, 8.87 mm at 20 feet, as opticians' charts are drawn.
    assert 5 * acuity_mm(20 * 304.8) == pytest.approx(8.866, abs=0.01)


@pytest.mark.parametrize(
    ("millimetres", "ppi"), [(254, 343.775), (304.8, 286), (250, 349), (300, 291), (500, 175)]
)
def test_a_pixel_a_minute(millimetres: float, ppi: float) -> None:
    # 3438 / distance in inches (3437.75 unrounded): photo.stackexchange, question 17835.
    inches = 10.0
    edge = print_edge_px(round(ppi * inches), 25.4 * inches, millimetres)
    assert edge == pytest.approx(1.0, rel=3e-3)


@pytest.mark.parametrize(
    ("print_mm", "distance", "micrometres"), [(297, 300, 10.58), (420, 500, 12.47)]
)
def test_on_the_sensor_of_a_36_mm_frame(
    print_mm: float, distance: float, micrometres: float
) -> None:
    # A4 is 297 mm long and A3 420 mm (ISO 216): 8.25 and 11.667 times 36 mm.
    pixels, pitch = 7200, 5.0
    assert print_edge_px(pixels, print_mm, distance) * pitch == pytest.approx(micrometres, abs=0.01)


def test_a_larger_print_asks_for_more_and_a_longer_way_for_less() -> None:
    edge = print_edge_px(6000, 420, 500)
    assert print_edge_px(6000, 840, 500) == pytest.approx(edge / 2)
    assert print_edge_px(6000, 420, 1000) == pytest.approx(edge * 2)


def test_a_screen_shows_its_own_pixel() -> None:
    assert screen_edge_px(6000, 2000) == 3.0
    assert screen_edge_px(6000, 6000) == 1.0
