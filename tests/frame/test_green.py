"""Green at every pixel is what the greens say, and no guess."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from mocks.raw import BAYER, BLACK, WHITE, X_TRANS, mosaic
from tests.pictures import grey
from tests.sharpness.pictures import blur, gauss, light
from tether.frame.coding import coded
from tether.frame.green import Mosaic, filled, green_luma, weights
from tether.model import Rect
from tether.sharpness.measure import measure
from tether.sharpness.tone import ToneCurve, linear


def tile(pattern: tuple[str, ...]) -> NDArray[np.bool_]:
    return np.array([[one == "G" for one in row] for row in pattern])


def laid_out(pattern: tuple[str, ...]) -> Mosaic:
    green = tile(pattern)
    return Mosaic(green, np.full(green.shape, BLACK, np.float32), WHITE)


BOTH = pytest.mark.parametrize("pattern", [BAYER, X_TRANS])


def test_the_sums_of_a_bayer_array_are_the_neville_filter_of_order_six() -> None:
    # Source: Kovačević and Sweldens 2000, table of the quincunx filters: in 1/512, by distance.
    by_distance = {1: 174, 5: -27, 9: 2, 13: 3}
    found = weights(tile(BAYER), 0, 0) * 512
    for (y, x), weight in np.ndenumerate(found):
        assert weight == pytest.approx(by_distance.get((y - 3) ** 2 + (x - 3) ** 2, 0), abs=1e-3)


@BOTH
def test_any_surface_up_to_the_fifth_degree_is_met_exactly(pattern: tuple[str, ...]) -> None:
    # Source: that is the definition of the filters' order.
    y, x = np.mgrid[-1:1:60j, -1:1:66j]
    surface = (0.3 + 0.2 * x - 0.1 * y**2 + 0.1 * x * y**3 - 0.08 * x**5 + 0.05 * y**4 * x) * 0.8
    found = filled(surface.astype(np.float32), tile(pattern))
    assert np.abs(found - surface)[6:-6, 6:-6].max() < 1e-5


@BOTH
def test_an_even_field_is_even_up_to_its_rim(pattern: tuple[str, ...]) -> None:
    field = np.full((65, 71), 0.5, np.float32)
    assert filled(field, tile(pattern)) == pytest.approx(field, abs=1e-5)


@BOTH
def test_samples_stay_what_they_are_and_other_colours_are_not_looked_at(
    pattern: tuple[str, ...],
) -> None:
    rng = np.random.default_rng(3)
    seen = rng.uniform(0, 0.9, (66, 72)).astype(np.float32)
    green = np.tile(tile(pattern), (66 // len(pattern), 72 // len(pattern)))
    other = np.where(green, seen, rng.uniform(0, 1, seen.shape).astype(np.float32))
    found = filled(seen, tile(pattern))
    assert np.array_equal(found[green], seen[green])
    assert np.array_equal(filled(other, tile(pattern)), found)


def test_beside_a_sample_that_is_full_it_is_white() -> None:
    seen = np.full((64, 64), 0.5, np.float32)
    seen[31, 32] = 1.0  # green
    found = filled(seen, tile(BAYER))
    assert [found[y, x] for y, x in ((30, 32), (32, 32), (31, 31), (31, 33))] == [1, 1, 1, 1]
    assert found[31, 30] == 0.5


def test_black_and_white_levels_are_the_ends_of_the_scale() -> None:
    shades = np.repeat(np.linspace(0, 1, 64), 8)[np.newaxis, :, np.newaxis]
    wanted = np.broadcast_to(shades, (70, 512, 3))
    found = linear(green_luma(mosaic(wanted), laid_out(BAYER)), ToneCurve.SRGB)
    assert np.abs(found - wanted[..., 1])[:, 4::8].max() < 2e-4
    assert found[:, -1].max() == 1


def test_a_sensor_that_is_full_before_the_file_says_so_is_white_there() -> None:
    counts = mosaic(np.full((64, 64, 3), 0.5))
    counts[20:40, 20:40] = 14000
    told = laid_out(BAYER)
    assert green_luma(counts, told)[30, 30] < 65535
    early = Mosaic(told.pattern, told.black, told.white, full_from=0.75)
    assert green_luma(counts, early)[30, 30] == 65535
    assert green_luma(mosaic(np.full((64, 64, 3), 0.5)), early).max() < 60000


@BOTH
def test_bands_leave_no_seam(pattern: tuple[str, ...]) -> None:
    rng = np.random.default_rng(5)
    seen = rng.uniform(0, 1, (1100, 72, 3))
    counts = mosaic(seen, pattern)
    told = laid_out(pattern)
    part = green_luma(counts[480:540], told)
    assert np.array_equal(green_luma(counts, told)[490:530], part[10:50])


@BOTH
@pytest.mark.parametrize("sigma", [0.8, 1.5, 3.0])
def test_an_edge_is_as_wide_as_on_a_sensor_without_filters(
    pattern: tuple[str, ...], sigma: float
) -> None:
    # Against every pixel of the same light: `tests.benchmarks.accuracy_raw` has the figures.
    whole = blur(light(grey()), gauss(sigma)) * 0.8
    luma = green_luma(
        mosaic(np.repeat(whole[..., np.newaxis], 3, axis=2), pattern), laid_out(pattern)
    )
    area = Rect(160, 60, 200, 200)
    found = measure(luma, area).widest
    wanted = measure(coded(whole.astype(np.float32)), area).widest
    assert found is not None and wanted is not None
    assert found.px == pytest.approx(wanted.px, rel=0.1)
