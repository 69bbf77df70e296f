"""Fine detail's share falls with blur, and noise adds nothing to it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage, special

from tether.model import Rect
from tether.sharpness.fineness import borne_out, fineness

INNER = Rect(40, 40, 160, 160)


def step(sigma: float, noise: float = 0.0, contrast: float = 120.0) -> NDArray[np.uint8]:
    x = np.arange(240) - 119.3
    across = 60 + contrast * special.ndtr(x / sigma)
    picture = np.tile(across, (240, 1))
    picture += 255 * noise * np.random.default_rng(3).standard_normal(picture.shape)
    return np.asarray(np.clip(np.rint(picture), 0, 255), np.uint8)


@pytest.mark.parametrize("sigma", [0.5, 1.0, 2.0, 4.0, 8.0])
def test_a_step_gives_what_the_formula_says(sigma: float) -> None:
    # ∫ of a squared Gaussian of standard deviation s is 1 / (2 √π s); blurs add in squares.
    wanted = math.sqrt((5.6**2 + sigma**2) / (1.4**2 + sigma**2))
    assert fineness(step(sigma), INNER, 0.0) == pytest.approx(wanted, rel=0.02)


@pytest.mark.parametrize("sigma", [1.0, 8.0])
def test_white_noise_does_not_make_an_area_finer(sigma: float) -> None:
    clean = fineness(step(sigma), INNER, 0.0)
    assert fineness(step(sigma, 0.02), INNER, 0.02) == pytest.approx(clean, rel=0.1)


def test_an_area_with_noise_alone_says_nothing_or_little() -> None:
    told = fineness(step(1.0, 0.02, 0.0), INNER, 0.025)
    assert told is None


def test_contrast_does_not_matter_nor_do_bits() -> None:
    wanted = fineness(step(2.0), INNER, 0.0)
    assert fineness(step(2.0, contrast=40), INNER, 0.0) == pytest.approx(wanted, rel=0.03)
    assert fineness(step(2.0).astype(np.uint16) * 257, INNER, 0.0) == pytest.approx(wanted)


def test_blur_makes_any_picture_less_fine() -> None:
    texture = np.random.default_rng(4).uniform(0, 255, (240, 240))
    told = [
        fineness(np.asarray(ndimage.gaussian_filter(texture, sigma), np.uint8), INNER, 0.0) or 0.0
        for sigma in (1, 2, 3, 4)
    ]
    assert told == sorted(told, reverse=True)


def test_a_flat_area_says_nothing() -> None:
    assert fineness(np.full((240, 240), 90, np.uint8), INNER, 0.0) is None


@pytest.mark.parametrize("sigma", [0.5, 1.0, 2.0, 4.0, 8.0])
def test_a_step_bears_out_its_own_width_and_no_far_narrower_one(sigma: float) -> None:
    width = 2.563103 * sigma
    told = fineness(step(sigma), INNER, 0.0)
    assert borne_out(width, told)
    assert not borne_out(width / 4, told) or sigma < 1


def test_nothing_but_noise_bears_out_no_width() -> None:
    assert not borne_out(20.0, None)
