"""The width of an edge whose blur is known is read as what it is."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy import special

from tests.sharpness.pictures import FINE, F, coded, disk, edge, gauss
from tether.model import Rect
from tether.sharpness.measure import MARGIN, measure
from tether.sharpness.tone import ToneCurve

AT = np.arange(-60 * FINE, 60 * FINE + 1) / FINE
SHAPE = 0.08
"""One shape of blur is fitted to all; see `tether.sharpness.steps.blurred_step`."""

AREA = Rect(MARGIN, MARGIN, 128 - 2 * MARGIN, 128 - 2 * MARGIN)
ANGLES = (5.0, 22.0, 38.0, 66.0, 97.0, 140.0)


def gaussian(sigma: float) -> F:
    return np.asarray(special.ndtr(AT / sigma))


def defocused(c: float) -> F:
    # checks.md section 1, "Disk ESF": 1/2 + (t sqrt(1-t²) + asin t)/π, t = 2x/c.
    t = np.clip(2 * AT / c, -1, 1)
    return np.asarray(0.5 + (t * np.sqrt(1 - t * t) + np.arcsin(t)) / math.pi)


def boxed(w: float) -> F:
    return np.asarray(np.clip(AT / w + 0.5, 0, 1))


def with_pixel(esf: F, angle: float) -> float:
    """10–90 % rise after the square pixel, whose shadow along the normal is a trapezium."""
    a = math.radians(angle)
    out = esf
    for side in (abs(math.cos(a)), abs(math.sin(a))):
        n = max(round(side * FINE), 1)
        out = np.convolve(np.pad(out, n, mode="edge"), np.ones(n) / n, mode="same")[n:-n]
    return float(np.interp(0.9, out, AT) - np.interp(0.1, out, AT))


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("sigma", [0.5, 0.7, 1.0, 2.0, 3.0, 4.5])
def test_a_gaussian_edge_reads_2_563_sigma(sigma: float, angle: float) -> None:
    # checks.md section 1, "Gaussian 10-90": 2.563103 sigma, here with the pixel's own blur.
    found = measure(coded(edge(angle, gaussian(sigma))), AREA)
    assert found.widest is not None
    assert found.widest.px == pytest.approx(with_pixel(gaussian(sigma), angle), rel=SHAPE)


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("c", [3.0, 5.0, 8.0, 12.0])
def test_a_defocused_edge_reads_0_687_of_its_disk(c: float, angle: float) -> None:
    # checks.md section 1, "Disk ESF": 10-90 = 0.687049 c, here with the pixel's own blur.
    assert np.interp(0.9, defocused(c), AT) * 2 == pytest.approx(0.687049 * c, abs=0.02)
    found = measure(coded(edge(angle, defocused(c))), AREA)
    assert found.widest is not None
    assert found.widest.px == pytest.approx(with_pixel(defocused(c), angle), rel=SHAPE)


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("w", [3.0, 6.0, 10.0])
def test_a_dragged_edge_reads_0_8_of_the_drag(w: float, angle: float) -> None:
    # checks.md section 1, "Box width w": 10-90 = 0.8 w, here with the pixel's own blur.
    assert np.interp(0.9, boxed(w), AT) * 2 == pytest.approx(0.8 * w, abs=0.02)
    found = measure(coded(edge(angle, boxed(w))), AREA)
    assert found.widest is not None
    assert found.widest.px == pytest.approx(with_pixel(boxed(w), angle), rel=2 * SHAPE)


@pytest.mark.parametrize("sigma", [0.5, 1.0, 2.0, 4.0])
def test_the_interval_of_a_clean_edge_covers_and_is_narrow(sigma: float) -> None:
    for angle in ANGLES:
        found = measure(coded(edge(angle, gaussian(sigma))), AREA).widest
        assert found is not None
        assert found.lo <= with_pixel(gaussian(sigma), angle) <= found.hi
        assert found.hi / found.lo < 1.6


def test_sixteen_bits_and_another_curve_say_the_same() -> None:
    light = edge(20.0, gaussian(1.5))
    eight = measure(coded(light), AREA).widest
    linear = measure(np.rint(light * 65535).astype(np.uint16), AREA, ToneCurve.LINEAR).widest
    adobe = np.rint(light ** (256 / 563) * 65535).astype(np.uint16)
    gamma = measure(adobe, AREA, ToneCurve.GAMMA_2_2).widest
    assert eight is not None and linear is not None and gamma is not None
    assert linear.px == pytest.approx(eight.px, rel=0.02)
    assert gamma.px == pytest.approx(eight.px, rel=0.02)


def test_past_what_it_can_resolve_the_width_only_grows() -> None:
    read = []
    for sigma in (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 13.0):
        x = (np.arange(320) - 159.5)[None, :] / sigma
        light = np.broadcast_to(0.2 + 0.6 * special.ndtr(x), (320, 320))
        found = measure(coded(light), Rect(MARGIN, MARGIN, 272, 272)).widest
        assert found is not None
        read.append(found.px)
    assert all(b > a for a, b in pairwise(read))
    assert read[0] == pytest.approx(2.563103 * 3, rel=SHAPE)
    assert read[-1] == pytest.approx(2.563103 * 13, rel=SHAPE)


def test_a_mirrored_or_turned_area_reads_the_same() -> None:
    # checks.md section 1, "Invariances to test".
    base = coded(edge(20.0, gaussian(1.2)))
    read = [base, base[::-1], base[:, ::-1], base.T]
    widths = [measure(np.ascontiguousarray(p), AREA).widest for p in read]
    assert all(w is not None for w in widths)
    first = widths[0]
    assert first is not None
    for w in widths:
        assert w is not None
        assert w.px == pytest.approx(first.px, rel=0.02)


def test_the_kernels_of_the_pictures_are_what_they_say() -> None:
    for kernel, variance in ((disk(8.0), 8.0**2 / 16 + 1 / 12), (gauss(1.5), 1.5**2 + 1 / 12)):
        n = np.arange(len(kernel)) - len(kernel) // 2
        assert kernel.sum() == pytest.approx(1)
        assert (kernel.sum(0) * n**2).sum() == pytest.approx(variance, rel=0.03)
