"""Diffraction of a round aperture, at 550 nm."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import trapezoid

from tether.optics.diffraction import EDGE_FACTOR, edge_width_um, f_number_for


def test_the_edge_width_is_what_the_contrasts_add_up_to() -> None:
    # Contrast of a round pupil by the closed form of Boreman, SPIE TT52, 1.5.1; by Fourier an edge
    # rises as 1/2 + the integral of contrast times sin(2π ν x)/(π ν).
    u = np.linspace(1e-6, 1, 4001)
    contrasts = 2 / np.pi * (np.arccos(u) - u * np.sqrt(1 - u**2))
    places = np.linspace(-2, 2, 401)
    rise = [0.5 + trapezoid(contrasts * np.sin(2 * np.pi * u * x) / (np.pi * u), u) for x in places]
    low, high = np.interp([0.1, 0.9], rise, places)
    assert high - low == pytest.approx(EDGE_FACTOR, rel=1e-4)
    assert edge_width_um(8) == pytest.approx((high - low) * 0.55 * 8, rel=1e-4)


def test_there_and_back() -> None:
    assert f_number_for(edge_width_um(11)) == pytest.approx(11)
