"""Kernels are as wide as they say."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from mocks import blur
from mocks.light import Field

KERNELS = {
    "disk": blur.disk(4.0),
    "small disk": blur.disk(0.7),
    "shake": blur.shake(8.0, 20.0),
    "gaussian": blur.gaussian(1.3),
}


def rise(kernel: Field, axis: int = 1) -> float:
    """Return the 10–90 % rise of an ideal edge, read at the borders of the pixels."""
    across = kernel.astype(float).sum(axis=1 - axis)
    edge = np.concatenate([[0.0], np.cumsum(across)])
    between = PchipInterpolator(np.arange(len(edge)), edge)
    fine = between(np.linspace(0, len(across), 200_001))
    low, high = np.searchsorted(fine, [0.1, 0.9])
    return float(high - low) * len(across) / 200_000


@pytest.mark.parametrize("name", KERNELS)
def test_light_is_neither_made_nor_lost(name: str) -> None:
    assert KERNELS[name].sum() == pytest.approx(1, abs=1e-6)
    assert KERNELS[name].min() >= 0


@pytest.mark.parametrize("diameter", [5.5, 7.5, 12.0, 16.0])
def test_disk_is_as_wide_as_it_says(diameter: float) -> None:
    assert rise(blur.disk(diameter)) == pytest.approx(0.687049 * diameter, abs=0.06)
    assert rise(blur.disk(diameter), 0) == pytest.approx(rise(blur.disk(diameter)), abs=1e-3)


@pytest.mark.parametrize("c", [3.0, 4.0, 9.0])
def test_disk_is_exact_where_pixels_end(c: float) -> None:
    across = blur.disk(c).sum(axis=0).astype(float)
    t = np.clip(2 * (np.arange(1, len(across)) - len(across) / 2) / c, -1, 1)
    closed = 0.5 + (t * np.sqrt(1 - t**2) + np.arcsin(t)) / np.pi
    np.testing.assert_allclose(np.cumsum(across)[:-1], closed, atol=2e-4)


@pytest.mark.parametrize("length", [5.0, 9.0, 13.0])
def test_shake_is_a_box_along_and_nothing_across(length: float) -> None:
    along, upward = blur.shake(length, 0.0), blur.shake(length, 90.0)
    assert rise(along) == pytest.approx(0.8 * length, abs=0.01)
    assert (along.sum(axis=1) > 0).sum() == 1
    np.testing.assert_allclose(upward, along.T, atol=1e-3)


def test_oblique_shake_is_foreshortened() -> None:
    assert rise(blur.shake(20.0, 35.0)) == pytest.approx(16 * np.cos(np.deg2rad(35)), abs=0.05)


def test_angle_is_counter_clockwise_with_y_up() -> None:
    kernel = blur.shake(9.0, 30.0)
    middle = kernel.shape[0] // 2
    assert kernel[:middle, middle + 1 :].sum() > 0.3
    assert kernel[middle + 1 :, middle + 1 :].sum() < 0.05


def test_gaussian_is_as_wide_as_it_says() -> None:
    assert rise(blur.gaussian(3.0)) == pytest.approx(2.563103 * 3, abs=0.06)


def test_no_blur_is_no_change() -> None:
    image = np.random.default_rng(0).random((20, 30, 3), np.float32)
    for kernel in (blur.disk(0), blur.shake(0, 45), blur.gaussian(0)):
        np.testing.assert_allclose(blur.apply(image, kernel), image)


@pytest.mark.parametrize("kernel", [blur.disk(5.0), blur.disk(9.0), blur.shake(9.0, 70.0)])
def test_apply_is_convolution(kernel: Field) -> None:
    dot = np.zeros((61, 71), np.float32)
    dot[30, 40] = 1
    reach = kernel.shape[0] // 2
    seen = blur.apply(dot, kernel)[30 - reach : 31 + reach, 40 - reach : 41 + reach]
    np.testing.assert_allclose(seen, kernel, atol=1e-6)
    flat = blur.apply(np.full((40, 50, 2), 0.3, np.float32), kernel)
    np.testing.assert_allclose(flat, 0.3, atol=1e-5)


def test_wider_disks_spread_more() -> None:
    assert all(a < b for a, b in pairwise(rise(blur.disk(c)) for c in (2.0, 3.0, 4.0, 6.0, 9.0)))


def test_a_disk_too_small_to_see_blurs_nothing() -> None:
    for diameter in (0.0, 1e-9, 0.01):
        assert blur.disk(diameter).tolist() == [[1.0]]
