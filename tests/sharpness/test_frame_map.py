"""The map ranks places by how fine their detail is, whatever their contrast and light."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sharpness.photographs import photograph
from tests.sharpness.pictures import U8, F, blur, coded, disk, expose, gauss
from tether.model import Rect
from tether.sharpness.frame_map import CELL, frame_map
from tether.sharpness.places import LIKELY, SPREAD, likely_sharpest, side_of, spread

AREA = Rect(300, 200, 128, 128)


def still(contrast: float = 1.0, sigma: float = 0.5) -> F:
    """Light of a photograph with pages of text, of another contrast and blur."""
    page = photograph("page", 1)[:180, :370]
    light = blur(np.tile(page, (3, 2)), gauss(sigma))
    return np.asarray(0.4 + (light - light.mean()) * contrast)


def in_two(left: F, right: F) -> U8:
    half = left.shape[1] // 2
    picture = np.hstack([left[:, :half], right[:, half:]])
    return expose(picture, np.random.default_rng(1), noise=0.003)


def test_finer_detail_of_a_fifth_of_the_contrast_ranks_higher() -> None:
    found = frame_map(in_two(still(0.12), still(0.6, sigma=3.0))).keenness
    middle = found.shape[1] // 2
    left, right = found[:, : middle - 1], found[:, middle + 1 :]
    assert np.median(left[left > 0]) > 1.5 * np.median(right[right > 0])


@pytest.mark.parametrize(("rise", "expected"), [(0.5, 2 / 8), (60.0, (2 / 8) ** 2)])
def test_a_step_has_the_energies_that_its_width_gives_it(rise: float, expected: float) -> None:
    # A difference over s px of a step that is d wide: (h²)s if d < s, (h s / d)² d if d > s.
    x = np.arange(512) - 250.5
    steps = np.clip(x / rise + 0.5, 0, 1) * 0.3 + 0.2
    pixels = np.rint(steps * 65535).astype(np.uint16)
    found = frame_map(np.ascontiguousarray(np.broadcast_to(pixels, (256, 512))))
    most = np.unravel_index(found.coarse.sum(0).argmax(), found.keenness.shape)
    assert found.keenness[most] == pytest.approx(expected, rel=0.08)
    assert found.crossed.max() == 0  # it runs one way only


def test_noise_alone_is_no_detail() -> None:
    rng = np.random.default_rng(2)
    noise = expose(np.full((640, 960), 0.3), rng, noise=0.02)
    assert not frame_map(noise).detail.any()


def test_sixteen_bits_say_what_eight_do() -> None:
    eight = coded(still())
    found, deep = frame_map(eight), frame_map(eight.astype(np.uint16) * np.uint16(257))
    np.testing.assert_allclose(found.fine, deep.fine, rtol=1e-4, atol=1e-3)
    np.testing.assert_allclose(found.coarse, deep.coarse, rtol=1e-4, atol=1e-3)


def test_what_is_no_frame_is_refused() -> None:
    with pytest.raises(TypeError):
        frame_map(np.zeros((200, 200), np.float32))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="no cell"):
        frame_map(np.zeros((CELL - 1, 900), np.uint8))


@settings(max_examples=30, deadline=None)
@given(rows=st.integers(CELL, 500), columns=st.integers(CELL, 700), seed=st.integers(0, 99))
def test_places_lie_in_the_frame_and_on_nothing_they_must_not(
    rows: int, columns: int, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    picture = np.kron(rng.integers(0, 256, (90, 90)), np.ones((8, 8)))[:rows, :columns]
    shape = picture.shape
    found = frame_map(picture.astype(np.uint8))
    likely = likely_sharpest(found, (rows, columns), [AREA])
    over = spread(found, (rows, columns), [AREA, *likely])
    assert len(likely) <= LIKELY
    assert len(over) <= SPREAD[0] * SPREAD[1]
    taken = np.zeros((max(rows, 400), max(columns, 500)), int)
    for r in (AREA, *likely, *over):
        taken[r.y : r.y + r.height, r.x : r.x + r.width] += 1
        if r is not AREA:
            assert r.width == r.height == side_of((rows, columns))
            assert r.x >= 0 and r.y >= 0
            assert r.x + r.width <= shape[1] and r.y + r.height <= shape[0]
    assert taken.max() == 1


def test_the_likely_places_are_where_it_is_sharpest_and_the_spread_is_all_over() -> None:
    picture = np.tile(still(), (2, 2))
    soft = blur(picture, disk(8))
    soft[40:300, 60:320] = picture[40:300, 60:320]
    luma = expose(soft, np.random.default_rng(3), noise=0.003)
    found = frame_map(luma)
    best = likely_sharpest(found, luma.shape, [Rect(600, 600, 200, 200)])[0]
    assert 0 < best.x + best.width / 2 < 380 and 0 < best.y + best.height / 2 < 360
    over = spread(found, luma.shape, [])
    quarters = {
        (r.x + r.width // 2 > picture.shape[1] / 2, r.y + r.height // 2 > picture.shape[0] / 2)
        for r in over
    }
    assert len(quarters) == 4
