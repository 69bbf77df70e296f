"""How long a hand holds still."""

from __future__ import annotations

import pytest

from tether.optics.shutter import equivalent_mm, slowest_handheld_s


@pytest.mark.parametrize(("focal_mm", "slowest"), [(50, 1 / 100), (85, 1 / 170), (200, 1 / 400)])
def test_one_over_twice_the_focal_length(focal_mm: float, slowest: float) -> None:
    # Common practice, no source.
    assert slowest_handheld_s(focal_mm) == pytest.approx(slowest)


def test_a_small_sensor_lengthens_the_lens() -> None:
    # 6000 px of 3.9 µm are 23.4 mm: 36 / 23.4 = 1.54 times.
    assert equivalent_mm(50, 3.9, 6000) == pytest.approx(76.92, abs=0.01)
