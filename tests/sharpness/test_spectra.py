"""Contrast is found in the direction and at the fineness where it is."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from tether.sharpness.spectra import BANDS, DIRECTIONS, block_spectra, turns


def waves(angle_deg: float, fineness: float, side: int = 128) -> np.ndarray:
    """Light that changes along an angle, counter-clockwise from +x with y up."""
    y, x = np.indices((side, side))
    a = math.radians(angle_deg)
    along = x * math.cos(a) - y * math.sin(a)
    return np.asarray(128 + 40 * np.cos(fineness * along), np.float32)


@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0, 90.0, 135.0, 165.0])
@pytest.mark.parametrize("fineness", [0.4, 0.8, 1.5, 2.6])
def test_a_wave_falls_into_its_direction_and_band(angle: float, fineness: float) -> None:
    power = block_spectra(waves(angle, fineness)).mean(0)
    direction, band = np.unravel_index(int(power.argmax()), power.shape)
    assert math.degrees(turns()[direction]) == pytest.approx(angle, abs=90 / DIRECTIONS + 1e-6)
    low, high = list(pairwise(BANDS))[int(band)]
    assert low <= fineness < high


def test_white_noise_has_the_same_power_everywhere() -> None:
    # Parseval: with a window of unit energy the mean power of white noise is its variance.
    noise = 3 * np.random.default_rng(1).standard_normal((448, 448)).astype(np.float32)
    power = block_spectra(noise + 100).mean(0)
    assert power.mean() == pytest.approx(9, rel=0.05)
    assert np.all(np.abs(power.mean(0) / 9 - 1) < 0.2)
    assert np.all(np.abs(power[:, 4:] / 9 - 1) < 0.2)


def test_a_quarter_turn_moves_every_direction_by_half_of_them() -> None:
    picture = waves(30.0, 0.8) + waves(100.0, 1.5)
    turned = np.ascontiguousarray(np.rot90(picture))
    upright = block_spectra(picture).mean(0)
    assert block_spectra(turned).mean(0) == pytest.approx(
        np.roll(upright, DIRECTIONS // 2, 0), rel=0.2, abs=1.0
    )
