"""MTF50, response and rise are those of the closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from tests.sharpness.edges_known import Blur, edge, known_mtf50, known_response, known_rise
from tether.sharpness.slanted_edge.measure import slanted_edge
from tether.sharpness.slanted_edge.response import of_taps

# MTF50 in cycles/px of each blur with a pixel of 1 px along the edge's normal: roots of
# exp(-2π²σ²ν²) (Gaussian), |2 J1(πcν)/(πcν)| (disk; Goodman, Introduction to Fourier Optics) and
# |sinc Lν| (movement; Hadar, Fisher and Kopeika, Opt. Eng. 31(3) 581–589, 1992), each times sinc ν.
WITH_PIXEL = [
    (Blur("Gaussian", 0.5), 0.32309),
    (Blur("Gaussian", 0.7), 0.24711),
    (Blur("Gaussian", 1.0), 0.17996),
    (Blur("Gaussian", 1.5), 0.12267),
    (Blur("Gaussian", 2.0), 0.09273),
    (Blur("Gaussian", 3.0), 0.06218),
    (Blur("disk", 1.0), 0.47410),
    (Blur("disk", 2.0), 0.31222),
    (Blur("disk", 3.0), 0.22227),
    (Blur("disk", 5.0), 0.13817),
    (Blur("disk", 8.0), 0.08743),
    (Blur("movement", 1.0), 0.44295),
    (Blur("movement", 2.0), 0.27611),
    (Blur("movement", 3.0), 0.19321),
    (Blur("movement", 5.0), 0.11893),
    (Blur("movement", 8.0), 0.07499),
]


@pytest.mark.parametrize(("blur", "mtf50"), WITH_PIXEL)
def test_mtf50_is_within_1_percent_of_the_table(blur: Blur, mtf50: float) -> None:
    assert slanted_edge(edge(blur, 5.0)).mtf50 == pytest.approx(mtf50, rel=0.01)


@pytest.mark.parametrize("tilt", [-40.0, -11.0, 2.0, 8.0, 14.036, 18.435, 26.565, 33.69, 40.0])
@pytest.mark.parametrize("blur", [b for b, _ in WITH_PIXEL[::3]])
@pytest.mark.parametrize("shape", [(60, 60), (100, 140)])
def test_mtf50_is_within_1_percent_at_every_tilt(
    blur: Blur, tilt: float, shape: tuple[int, int]
) -> None:
    found = slanted_edge(edge(blur, tilt, shape))
    assert found.mtf50 == pytest.approx(known_mtf50(blur, tilt), rel=0.01)
    assert found.rise_10_90_px == pytest.approx(known_rise(blur, tilt), rel=0.01)


@pytest.mark.parametrize("blur", [Blur("Gaussian", 0.7), Blur("disk", 4.0), Blur("movement", 5.0)])
def test_the_whole_response_is_that_of_the_closed_form(blur: Blur) -> None:
    found = slanted_edge(edge(blur, 6.0))
    known = known_response(blur, 6.0, found.frequencies)
    assert found.response == pytest.approx(known, abs=0.005)
    assert found.response[0] == 1


@pytest.mark.parametrize("wavelengths", [0.8, 1.1, 2.2])
def test_diffraction_alone_is_told_when_its_extent_is_known(wavelengths: float) -> None:
    # λN over the pitch: f/8 at 4 µm and 550 nm is 1.1 px.
    blur = Blur("diffraction", wavelengths)
    found = slanted_edge(edge(blur, 5.0), diffraction_px=wavelengths)
    assert found.mtf50 == pytest.approx(known_mtf50(blur, 5.0), rel=0.005)


def test_wide_blurs_are_told_where_the_area_is_wide() -> None:
    blur = Blur("disk", 25.0)
    found = slanted_edge(edge(blur, 5.0, (120, 150)))
    assert found.mtf50 == pytest.approx(known_mtf50(blur, 5.0), rel=0.01)
    # Disk: 10–90 % rise 0.687049 c, from its closed-form edge.
    assert found.rise_10_90_px == pytest.approx(0.687049 * 25, rel=0.01)


def test_the_taps_respond_as_their_transform_says() -> None:
    # sin(πν/2)/(πν/2), from the taps -1/2, 0, 1/2 of ISO 12233:2014 at four points a px.
    known = [0.99589, 0.97450, 0.90032, 0.63662]
    assert of_taps(np.array([0.1, 0.25, 0.5, 1.0])) == pytest.approx(known, abs=1e-5)
