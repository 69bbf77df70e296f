"""Diffraction of a round aperture, at 550 nm."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import trapezoid

from tether.optics.diffraction import (
    EDGE_FACTOR,
    airy_diameter_um,
    cut_off_per_mm,
    edge_width_um,
    f_number_for,
    mtf,
)


@pytest.mark.parametrize(
    ("u", "contrast"),
    [(0.1, 0.8729), (0.2, 0.7471), (0.3, 0.6238), (0.4, 0.5046), (0.5, 0.3910), (0.6, 0.2848),
     (0.7, 0.1881), (0.8, 0.1041), (0.9, 0.0374)],
)  # fmt: skip
def test_contrast_by_the_closed_form(u: float, contrast: float) -> None:
    # The autocorrelation of a round pupil: Boreman, SPIE TT52, 1.5.1.
    assert mtf(u * cut_off_per_mm(8), 8) == pytest.approx(contrast, abs=5e-5)


def test_no_contrast_is_left_beyond_the_cut_off() -> None:
    assert mtf(0, 8) == 1
    assert mtf(cut_off_per_mm(8), 8) == 0
    assert mtf(2 * cut_off_per_mm(8), 8) == 0


@pytest.mark.parametrize(
    ("f_number", "cut_off", "half", "airy"),
    [(1.4, 1298.7, 524.6, 1.88), (2.8, 649.4, 262.3, 3.76), (5.6, 324.7, 131.2, 7.51),
     (8, 227.3, 91.8, 10.73), (11, 165.3, 66.8, 14.76), (22, 82.6, 33.4, 29.52)],
)  # fmt: skip
def test_table_of_apertures(f_number: float, cut_off: float, half: float, airy: float) -> None:
    # Cut-off 1/(λN), half contrast at 0.403973 of it, Airy diameter 2.43934 λN (first zero of J1).
    assert cut_off_per_mm(f_number) == pytest.approx(cut_off, rel=1e-3)
    assert mtf(half, f_number) == pytest.approx(0.5, abs=1e-3)
    assert airy_diameter_um(f_number) == pytest.approx(airy, abs=0.006)


def test_the_edge_width_is_what_the_contrasts_add_up_to() -> None:
    # Fourier: an edge rises as 1/2 + the integral of contrast times sin(2π ν x)/(π ν).
    frequencies = np.linspace(1e-6, 1, 4001)
    contrasts = np.array([mtf(u * cut_off_per_mm(1), 1) for u in frequencies])
    places = np.linspace(-2, 2, 401)
    rise = [
        0.5
        + trapezoid(
            contrasts * np.sin(2 * np.pi * frequencies * x) / (np.pi * frequencies), frequencies
        )
        for x in places
    ]
    low, high = np.interp([0.1, 0.9], rise, places)
    assert high - low == pytest.approx(EDGE_FACTOR, rel=1e-4)


def test_there_and_back() -> None:
    assert f_number_for(edge_width_um(11)) == pytest.approx(11)
