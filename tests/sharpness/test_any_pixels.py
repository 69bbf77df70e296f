"""Whatever the pixels, there is an answer, and it is a sane one."""

from __future__ import annotations

import math
import threading

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tests.sharpness.pictures import coded
from tether.model import Measurement, Rect
from tether.sharpness.measure import measure
from tether.sharpness.tone import ToneCurve, linear


def assert_sane(m: Measurement) -> None:
    assert 0 <= m.clipped <= 1
    assert m.noise >= 0 and math.isfinite(m.noise)
    assert (m.widest is None) == (m.narrowest is None)
    assert (m.widest is None) == (m.reason is not None)
    for width in (m.widest, m.narrowest):
        if width is not None:
            assert 0 < width.lo <= width.px <= width.hi < math.inf
    if m.widest is not None and m.narrowest is not None:
        assert m.narrowest.px <= m.widest.px
    if m.motion is not None:
        assert 0 <= m.motion.angle_deg < 180
        assert m.motion.ratio >= 1


@settings(max_examples=120, deadline=None)
@given(
    st.integers(1, 130),
    st.integers(1, 130),
    st.sampled_from([np.uint8, np.uint16]),
    st.sampled_from(["noise", "black", "white", "two", "blocks", "ramp", "comb"]),
    st.sampled_from(list(ToneCurve)),
    st.integers(0, 2**32 - 1),
)
def test_it_never_raises_and_bounds_enclose_the_width(
    rows: int, columns: int, kind: type, ground: str, curve: ToneCurve, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    p: NDArray[np.generic]
    top = int(np.iinfo(kind).max)
    if ground == "noise":
        p = rng.integers(0, top + 1, (rows, columns))
    elif ground == "two":
        p = rng.choice([0, top], (rows, columns))
    elif ground == "blocks":
        p = np.kron(rng.integers(0, top + 1, (rows // 9 + 1, columns // 9 + 1)), np.ones((9, 9)))
    elif ground == "ramp":
        p = np.add.outer(np.arange(rows), np.arange(columns)) * (top // 300)
    elif ground == "comb":
        p = np.broadcast_to(np.arange(columns) % 7 * (top // 8), (rows, columns))
    else:
        p = np.full((rows, columns), 0 if ground == "black" else top)
    pixels: NDArray[np.uint8] = np.ascontiguousarray(p[:rows, :columns].astype(kind))
    x, y = int(rng.integers(0, columns)), int(rng.integers(0, rows))
    inner = Rect(x, y, int(rng.integers(1, columns - x + 1)), int(rng.integers(1, rows - y + 1)))
    with np.errstate(all="raise", under="ignore"):
        assert_sane(measure(pixels, inner, curve))


def test_pixels_that_are_no_picture_are_refused() -> None:
    with pytest.raises(TypeError, match="uint8 or uint16"):
        measure(np.zeros((90, 90), np.float32), Rect(0, 0, 90, 90))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="two dimensions"):
        measure(np.zeros((90, 90, 3), np.uint8), Rect(0, 0, 90, 90))
    for inner in (Rect(0, 0, 91, 90), Rect(-1, 0, 10, 10), Rect(0, 0, 0, 10)):
        with pytest.raises(ValueError, match="is not within"):
            measure(np.zeros((90, 90), np.uint8), inner)


def test_many_threads_say_what_one_says() -> None:
    rng = np.random.default_rng(0)
    pixels = coded(np.kron(rng.random((20, 20)), np.ones((11, 11))) * 0.8 + 0.1)
    inner = Rect(24, 24, 172, 172)
    alone = measure(pixels, inner)
    found: list[Measurement] = []
    crowd = [
        threading.Thread(target=lambda: found.append(measure(pixels, inner))) for _ in range(8)
    ]
    for t in crowd:
        t.start()
    for t in crowd:
        t.join()
    assert found == [alone] * 8


@pytest.mark.parametrize("curve", list(ToneCurve))
def test_light_runs_from_0_to_1_and_16_bits_agree_with_8(curve: ToneCurve) -> None:
    eight = linear(np.arange(256, dtype=np.uint8), curve)
    sixteen = linear(np.arange(256, dtype=np.uint16) * np.uint16(257), curve)
    assert eight.dtype == np.float32
    assert eight[0] == 0 and eight[-1] == 1
    assert np.all(np.diff(eight) > 0)
    assert sixteen == pytest.approx(eight, abs=1e-6)


def test_middle_grey_of_each_curve() -> None:
    # IEC 61966-2-1: ((0.5 + 0.055) / 1.055) ** 2.4; Adobe RGB (1998): 0.5 ** (563 / 256).
    half = np.array([32768], np.uint16)
    assert linear(half, ToneCurve.SRGB)[0] == pytest.approx(0.21404, abs=1e-4)
    assert linear(half, ToneCurve.GAMMA_2_2)[0] == pytest.approx(0.5 ** (563 / 256), abs=1e-4)
