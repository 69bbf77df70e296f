"""Light, flare, noise and compression do not move the width; blur and movement do."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy import special

from tests.sharpness.photographs import NAMES, SAMPLES, photograph
from tests.sharpness.pictures import U8, F, blur, coded, disk, expose, gauss, join, path
from tether.model import Cause, EdgeWidth, Measurement, Rect
from tether.sharpness.measure import MARGIN, measure


def whole(picture: U8) -> Measurement:
    h, w = picture.shape
    m = min(MARGIN, (min(h, w) - 64) // 2)
    return measure(picture, Rect(m, m, w - 2 * m, h - 2 * m))


def read(picture: U8) -> EdgeWidth:
    found = whole(picture).widest
    assert found is not None
    return found


def wheel(blurred: float = 1.0, size: int = 256) -> F:
    """Render spokes: edges in every direction."""
    y, x = (np.indices((size, size)) - (size - 1) / 2) * 1.0
    turn = np.arctan2(-y, x)
    near = np.hypot(x, y) * np.sin(9 * (turn + 0.1)) / 9
    return np.asarray(0.15 + 0.6 * special.ndtr(near / blurred))


@pytest.fixture(scope="module")
def base() -> EdgeWidth:
    return read(expose(wheel(), np.random.default_rng(1), noise=0.003))


@pytest.mark.parametrize("gain", [0.5, 0.25, 0.125])
def test_up_to_three_stops_darker_reads_the_same(base: EdgeWidth, gain: float) -> None:
    found = read(expose(wheel(), np.random.default_rng(2), gain=gain, noise=0.003))
    assert found.lo <= base.px <= found.hi


@pytest.mark.parametrize("veil", [0.1, 0.25, 0.5])
def test_veiling_flare_reads_the_same(base: EdgeWidth, veil: float) -> None:
    found = read(expose(wheel(), np.random.default_rng(3), veil=veil, noise=0.003))
    assert found.lo <= base.px <= found.hi


@pytest.mark.parametrize("contrast", [0.5, 0.2, 0.1])
def test_low_contrast_reads_the_same(base: EdgeWidth, contrast: float) -> None:
    light = 0.4 + (wheel() - 0.4) * contrast
    found = read(expose(light, np.random.default_rng(4), noise=0.003))
    assert found.lo <= base.px <= found.hi


@pytest.mark.parametrize("grain", [False, True])
@pytest.mark.parametrize("noise", [0.0, 0.01, 0.03])
def test_noise_reads_the_same(base: EdgeWidth, noise: float, grain: bool) -> None:
    found = read(expose(wheel(), np.random.default_rng(5), noise=noise, grain=grain))
    assert found.lo <= base.px <= found.hi


@pytest.mark.parametrize("quality", [85, 90, 95, 98])
def test_compression_reads_the_same(base: EdgeWidth, quality: int) -> None:
    found = read(expose(wheel(), np.random.default_rng(6), noise=0.005, quality=quality))
    assert found.lo <= base.px <= found.hi


@pytest.mark.parametrize("name", NAMES + SAMPLES)
def test_more_blur_never_reads_narrower(name: str) -> None:
    picture = photograph(name)
    read_px = []
    for diameter in (0.0, 3.0, 6.0, 10.0):
        kernel = join(disk(diameter), gauss(0.5)) if diameter else gauss(0.5)
        found = whole(expose(blur(picture, kernel), np.random.default_rng(7), noise=0.004))
        read_px.append(found.widest.px if found.widest else np.inf)
    assert all(b > a or b == np.inf for a, b in pairwise(read_px)), read_px
    assert read_px[1] < np.inf


@pytest.mark.parametrize("angle", [0.0, 30.0, 60.0, 90.0, 135.0, 160.0])
def test_movement_is_told_with_its_angle_counter_clockwise_from_right(angle: float) -> None:
    moved = blur(wheel(0.6), path(8.0, angle))
    found = whole(expose(moved, np.random.default_rng(8), noise=0.003))
    assert found.motion is not None
    assert abs((found.motion.angle_deg - angle + 90) % 180 - 90) < 8
    assert 0 <= found.motion.angle_deg < 180
    assert found.motion.ratio > 2
    assert found.widest is not None and found.narrowest is not None
    assert found.widest.px > 2 * found.narrowest.px


def test_a_movement_to_the_upper_right_is_45_degrees_not_135() -> None:
    streak = path(9.0, 45.0)
    n = len(streak) // 2
    assert streak[n - 2, n + 2] > 0 and streak[n + 2, n + 2] == 0  # rows run down
    found = whole(expose(blur(wheel(0.6), streak), np.random.default_rng(9), noise=0.003))
    assert found.motion is not None
    assert found.motion.angle_deg == pytest.approx(45, abs=8)


@pytest.mark.parametrize("diameter", [0.0, 4.0, 9.0])
def test_defocus_alone_is_not_called_movement(diameter: float) -> None:
    light = blur(wheel(0.6), disk(diameter)) if diameter else wheel(0.6)
    assert whole(expose(light, np.random.default_rng(10), noise=0.003)).motion is None


def test_edges_in_one_direction_cannot_show_a_movement_and_the_note_says_so() -> None:
    stripes = 0.4 + 0.3 * special.ndtr((np.arange(160) % 40 - 20.0) / 1.2)
    found = whole(coded(np.broadcast_to(stripes, (160, 160))))
    assert found.widest is not None
    assert found.motion is None
    assert "too few directions" in found.note


def test_smooth_ground_has_no_detail() -> None:
    y, x = np.indices((256, 256)) / 256
    skin = 0.35 + 0.1 * np.sin(2 * x + y) + 0.05 * np.cos(3 * y)
    for picture in (coded(skin), expose(skin, np.random.default_rng(11), noise=0.004)):
        found = whole(picture)
        assert found.widest is None and found.narrowest is None and found.motion is None
        assert found.reason is Cause.NO_DETAIL
        assert found.note


def test_faint_detail_under_heavy_noise_is_too_noisy() -> None:
    faint = 0.2 + (wheel() - 0.4) * 0.05
    found = whole(expose(faint, np.random.default_rng(12), noise=0.12))
    assert found.widest is None
    assert found.reason is Cause.TOO_NOISY
    assert found.note


def test_an_area_clipped_to_white_has_no_detail_and_the_note_says_why() -> None:
    found = whole(coded(wheel() * 8))
    assert found.clipped > 0.9
    assert found.reason is Cause.NO_DETAIL
    assert "clipped" in found.note


def test_the_noise_of_an_even_field_is_told() -> None:
    rng = np.random.default_rng(13)
    field = np.rint(120 + 5 * rng.standard_normal((200, 200))).astype(np.uint8)
    assert whole(field).noise * 255 == pytest.approx(5, rel=0.1)


@pytest.mark.parametrize("side", [64, 100, 800])
def test_areas_of_every_size_are_measured(side: int) -> None:
    found = read(expose(wheel(1.0, side + 2 * MARGIN), np.random.default_rng(14), noise=0.003))
    assert found.lo <= 2.5631 <= found.hi
