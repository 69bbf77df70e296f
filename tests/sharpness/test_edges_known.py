"""The rendered edges are what they say, told by other means."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from tests.sharpness.edges_known import Blur, edge, known_mtf50, known_response


@pytest.mark.parametrize(
    ("blur", "mtf50"),
    [
        # Without a pixel (closed forms' own roots): 0.187391/σ, 0.705085/c, 0.603355/L, and
        # 0.403973 of the cut-off 1/(λN).
        (Blur("Gaussian", 1.0), 0.187391),
        (Blur("disk", 3.0), 0.705085 / 3),
        (Blur("movement", 3.0), 0.603355 / 3),
        (Blur("diffraction", 2.0), 0.403973 / 2),
    ],
)
def test_each_blur_falls_to_a_half_where_its_closed_form_does(blur: Blur, mtf50: float) -> None:
    assert blur.response(np.array([mtf50]))[0] == pytest.approx(0.5, abs=1e-5)


def test_a_pixel_takes_its_share() -> None:
    # sinc(ν) at Nyquist is 2/π; with a Gaussian the product falls to a half at 0.17996 for σ = 1.
    sharp = known_response(Blur("Gaussian", 1e-6), 0.0, np.array([0.5]))
    assert sharp[0] == pytest.approx(2 / np.pi, abs=1e-5)
    assert known_mtf50(Blur("Gaussian", 1.0)) == pytest.approx(0.17996, abs=1e-5)


@pytest.mark.parametrize("tilt", [4.0, 30.0])
def test_pixels_hold_the_mean_of_a_step_drawn_finely_and_blurred_in_two_dimensions(
    tilt: float,
) -> None:
    fine, side = 24, 24
    y, x = (np.indices((side * fine, side * fine)) + 0.5) / fine - side / 2
    angle = np.deg2rad(tilt)
    step = ((x - 0.3) * np.cos(angle) + y * np.sin(angle) > 0).astype(float)
    drawn = ndimage.gaussian_filter(step, 0.8 * fine, mode="nearest")
    pixels = drawn.reshape(side, fine, side, fine).mean((1, 3))
    known = edge(Blur("Gaussian", 0.8), tilt, (side, side), (0.0, 1.0))
    assert pixels[4:-4, 4:-4] == pytest.approx(known[4:-4, 4:-4], abs=2e-3)
