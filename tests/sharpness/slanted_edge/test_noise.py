"""How far noise moves the result, and whether the interval owns up to it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from tests.sharpness.edges_known import Blur, edge, known_mtf50
from tether.sharpness.slanted_edge.measure import slanted_edge

BLURS = [Blur("Gaussian", 0.5), Blur("Gaussian", 2.0), Blur("disk", 3.0), Blur("movement", 5.0)]


@pytest.mark.parametrize("blur", BLURS)
@pytest.mark.parametrize("tilt", [2.5, 9.0, 26.565, 40.0])
def test_at_a_contrast_of_100_times_the_noise_mtf50_is_within_3_percent(
    blur: Blur, tilt: float
) -> None:
    rng = np.random.default_rng(2)
    light, known = edge(blur, tilt), known_mtf50(blur, tilt)
    read = [slanted_edge(light + rng.normal(0, 0.006, light.shape)).mtf50 for _ in range(10)]
    assert read == pytest.approx([known] * 10, rel=0.03)


@pytest.mark.parametrize("ratio", [20.0, 100.0])
def test_about_19_in_20_intervals_hold_the_truth(ratio: float) -> None:
    rng = np.random.default_rng(3)
    held = []
    for blur in BLURS:
        light, known = edge(blur, 6.0, (80, 80)), known_mtf50(blur, 6.0)
        for _ in range(25):
            found = slanted_edge(light + rng.normal(0, 0.6 / ratio, light.shape))
            low, high = found.mtf50_95
            held.append(low <= known <= high)
    # Of 100 draws at 95 %, 89 or fewer come in one of a hundred such tests.
    assert np.mean(held) >= 0.9


def test_intervals_hold_the_truth_where_bright_is_noisier_and_neighbours_share_it() -> None:
    rng = np.random.default_rng(4)
    blur = Blur("Gaussian", 1.0)
    light, known = edge(blur, 6.0), known_mtf50(blur, 6.0)
    held = []
    for _ in range(60):
        grain = rng.normal(0, 1, light.shape)
        grain = ndimage.uniform_filter(grain, (3, 2)) * 6**0.5
        low, high = slanted_edge(light + 0.012 * np.sqrt(light) * grain).mtf50_95
        held.append(low <= known <= high)
    # With neighbours taken to be independent three in four do.
    assert np.mean(held) >= 0.85


def test_the_error_grows_with_the_noise_and_shrinks_with_the_edge() -> None:
    rng = np.random.default_rng(5)
    blur = Blur("Gaussian", 1.0)

    def error(rows: int, noise: float) -> float:
        light = edge(blur, 6.0, (rows, 80))
        drawn = [slanted_edge(light + rng.normal(0, noise, light.shape)) for _ in range(12)]
        return float(np.mean([d.mtf50_error for d in drawn]))

    plain = error(60, 0.01)
    assert error(60, 0.02) == pytest.approx(2 * plain, rel=0.25)
    assert error(240, 0.01) == pytest.approx(plain / 2, rel=0.25)


def test_the_noise_of_a_pixel_and_the_contrast_are_told() -> None:
    light = edge(Blur("Gaussian", 1.0), 6.0, (120, 120))
    found = slanted_edge(light + np.random.default_rng(6).normal(0, 0.01, light.shape))
    assert found.noise == pytest.approx(0.01, rel=0.05)
    assert found.contrast == pytest.approx(0.6, rel=0.01)
