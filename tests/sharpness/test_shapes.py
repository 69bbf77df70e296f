"""What a blur passes is its transform, and where it passes nothing is where theory says."""

from __future__ import annotations

import numpy as np
import pytest

from tether.sharpness.shapes import BOX, DISK, GAUSSIAN, SHAPES, Shape


def at(shape: Shape, cycles: float, deviation: float) -> float:
    """Detail passed at a frequency, cycles/px, by a blur of that standard deviation, px."""
    passed, _ = shape.passed(np.array([(2 * np.pi * cycles * deviation) ** 2]))
    return float(passed[0])


def test_half_is_passed_where_published() -> None:
    # checks.md section 1: MTF50 of a Gaussian 0.187391/sigma, a disk 0.705085/c, a box 0.603355/w.
    assert at(GAUSSIAN, 0.187391, 1.0) == pytest.approx(0.5, abs=1e-4)
    assert at(DISK, 0.705085 / 8, 8 / 4) == pytest.approx(0.5, abs=1e-4)
    assert at(BOX, 0.603355 / 8, 8 / 12**0.5) == pytest.approx(0.5, abs=1e-4)


def test_nothing_is_passed_at_the_first_zero_and_contrast_turns_beyond() -> None:
    # checks.md section 1: a disk's first zero at 1.219670/c, lobe of -0.132279 at 1.634719/c;
    # a box's zero at 1/w.
    assert at(DISK, 1.219670 / 5, 5 / 4) == pytest.approx(0, abs=1e-5)
    assert at(DISK, 1.634719 / 5, 5 / 4) == pytest.approx(-0.132279, abs=1e-5)
    assert at(BOX, 1 / 5, 5 / 12**0.5) == pytest.approx(0, abs=1e-6)


def test_rise_over_deviation() -> None:
    # checks.md section 1: 10-90 rise 2.563103 sigma, 0.687049 c, 0.8 w.
    assert pytest.approx(2.563103, abs=1e-6) == GAUSSIAN.rise
    assert pytest.approx(4 * 0.687049, abs=1e-5) == DISK.rise
    assert pytest.approx(0.8 * 12**0.5, abs=1e-6) == BOX.rise


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.name)
def test_slopes_are_the_derivatives_and_slight_blurs_are_alike(shape: Shape) -> None:
    v = np.linspace(0.01, 50, 2000)
    _, slope = shape.passed(v)
    numeric = (shape.passed(v + 1e-5)[0] - shape.passed(v - 1e-5)[0]) / 2e-5
    assert slope == pytest.approx(numeric, abs=1e-6)
    assert shape.passed(np.array([0.01]))[0][0] == pytest.approx(1 - 0.005, abs=1e-4)
