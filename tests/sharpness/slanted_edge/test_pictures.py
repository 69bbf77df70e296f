"""Uneven light, bowed lines and files on disk move the result little."""

from __future__ import annotations

import numpy as np
import pytest
import simplejpeg
from scipy import ndimage

from tests.sharpness.edges_known import Blur, F, edge, known_mtf50
from tests.sharpness.pictures import coded
from tether.sharpness.slanted_edge.measure import slanted_edge
from tether.sharpness.tone import linear

BLURS = [Blur("Gaussian", 0.6), Blur("disk", 4.0)]
ROW, COLUMN = np.indices((100, 100)) / 100 - 0.5


@pytest.mark.parametrize("blur", BLURS)
@pytest.mark.parametrize(
    "light", [1 + 0.3 * COLUMN, 1 - 0.3 * ROW, (1 + 0.2 * COLUMN) * (1 + 0.2 * ROW)]
)
def test_light_that_falls_off_across_the_area(blur: Blur, light: F) -> None:
    found = slanted_edge(edge(blur) * light)
    assert found.mtf50 == pytest.approx(known_mtf50(blur, 5.0), rel=0.01)


def test_flare_that_grows_across_the_area() -> None:
    found = slanted_edge(edge(BLURS[0]) * 0.9 + 0.1 * COLUMN + 0.05)
    assert found.mtf50 == pytest.approx(known_mtf50(BLURS[0], 5.0), rel=0.01)


def test_a_line_that_the_lens_bowed_by_a_pixel() -> None:
    found = slanted_edge(edge(BLURS[0], shape=(200, 100), bow=1.0))
    assert found.mtf50 == pytest.approx(known_mtf50(BLURS[0], 5.0), rel=0.01)


@pytest.mark.parametrize("blur", BLURS)
@pytest.mark.parametrize("tilt", [5.0, 33.0])
def test_eight_bits_of_srgb(blur: Blur, tilt: float) -> None:
    # Half a step of 8 bit moves the plateaus by up to 0.5 % of this contrast.
    found = slanted_edge(linear(coded(edge(blur, tilt))))
    assert found.mtf50 == pytest.approx(known_mtf50(blur, tilt), rel=0.012)


@pytest.mark.parametrize("blur", BLURS)
def test_jpeg_of_quality_95(blur: Blur) -> None:
    rng = np.random.default_rng(7)
    light = edge(blur) + rng.normal(0, 0.004, (100, 100))
    file = simplejpeg.encode_jpeg(coded(light)[:, :, None], quality=95, colorspace="GRAY")
    found = slanted_edge(linear(simplejpeg.decode_jpeg(file, "GRAY")[:, :, 0]), coding_error=0.015)
    low, high = found.mtf50_95
    assert low <= known_mtf50(blur, 5.0) <= high
    assert found.mtf50 == pytest.approx(known_mtf50(blur, 5.0), rel=0.03)


def test_sharpening_in_the_camera_raises_it_and_is_not_refused() -> None:
    light = edge(Blur("Gaussian", 1.0))
    sharpened = light + 0.8 * (light - ndimage.gaussian_filter(light, 1.0))
    found = slanted_edge(sharpened)
    v = found.frequencies
    # Unsharp mask: 1 + amount·(1 - exp(-2π²ν²)) for a radius of 1 px.
    known = (
        np.exp(-2 * np.pi**2 * v**2) * np.sinc(v) * (1 + 0.8 * (1 - np.exp(-2 * np.pi**2 * v**2)))
    )
    assert found.response == pytest.approx(known, abs=0.01)


def test_one_hot_pixel_is_no_second_edge() -> None:
    light = edge(BLURS[1])
    light[20, 80] = 0.95
    assert slanted_edge(light).mtf50 == pytest.approx(known_mtf50(BLURS[1], 5.0), rel=0.01)
