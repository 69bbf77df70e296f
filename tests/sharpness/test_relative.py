"""A frame is compared with its reference whatever the light, and only where they match."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sharpness.pairs import Light, Made, Pair, Scene, imaged, pair, pieces
from tests.sharpness.photographs import photograph
from tests.sharpness.pictures import U8, coded
from tether.model import EdgeWidth, Rect
from tether.sharpness.relative import (
    NO_DETAIL,
    NOT_THE_SAME,
    OVERLAP_TOO_SMALL,
    Comparison,
    compare,
)
from tether.sharpness.tone import ToneCurve

NAMES = ("camera", "astronaut", "coffee", "gravel")
PLACED = Made(shift=(5.3, -3.6))
CLEAN = Light(noise=0.002, quality=98)


@pytest.fixture(scope="module", params=NAMES)
def scene(request: pytest.FixtureRequest) -> Scene:
    return piece(str(request.param))


def piece(name: str) -> Scene:
    whole = Scene(photograph(name, 1), name)
    return pieces(whole, 200, 1, np.random.default_rng(0))[0]


def taken(
    scene: Scene,
    frame: Made = PLACED,
    reference: Made | None = None,
    light: Light = CLEAN,
    other: Light = CLEAN,
) -> Pair:
    return pair(scene, (frame, reference or Made()), (light, other), np.random.default_rng(1))


def read(p: Pair, width: EdgeWidth | float = 2.0) -> Comparison:
    found = compare(p.frame, p.reference, p.inner, width)
    assert found.reason == ""
    return found


def told(found: Comparison) -> tuple[float, tuple[float, float], float, tuple[float, float]]:
    assert found.added_px is not None and found.added_95 is not None
    assert found.ratio is not None and found.ratio_95 is not None
    return found.added_px, found.added_95, found.ratio, found.ratio_95


@pytest.mark.parametrize(
    ("kind", "size", "px"),
    [
        # checks.md section 1: 10-90 rise of a Gaussian 2.563103 sigma, of a disk 0.687049 c,
        # of an even movement 0.8 L; each rendered a fraction of a px wider.
        ("Gaussian", 1.5, 2.563103 * 1.5),
        ("Gaussian", 3.0, 2.563103 * 3),
        ("defocus", 5.0, 0.687049 * 5),
        ("defocus", 9.0, 0.687049 * 9),
        ("shake", 6.0, 0.8 * 6),
        ("shake", 10.0, 0.8 * 10),
    ],
)
def test_a_blur_reads_its_own_rise(scene: Scene, kind: str, size: float, px: float) -> None:
    p = taken(scene, Made(kind=kind, size=size, angle=30, shift=PLACED.shift))
    found = read(p, float(p.reference_px.max()))
    added, (lo, hi), ratio, (low, high) = told(found)
    assert added == pytest.approx(px, rel=0.1)
    assert lo <= px * 1.02 and px * 0.98 <= hi
    wider = p.frame_px.max() / p.reference_px.max()
    assert ratio == pytest.approx(wider, rel=0.08)
    assert low <= ratio <= high
    if kind == "shake":
        assert found.angle_deg == pytest.approx(30, abs=5)
        assert found.across_px is not None and abs(found.across_px) < px / 3


@pytest.mark.parametrize("angle", [0.0, 45.0, 100.0, 160.0])
def test_the_angle_is_counter_clockwise_from_right(angle: float) -> None:
    found = read(taken(piece("camera"), Made(kind="shake", size=8, angle=angle)))
    assert found.angle_deg is not None
    assert abs((found.angle_deg - angle + 90) % 180 - 90) < 5


@pytest.mark.parametrize("kind", ["Gaussian", "defocus", "shake"])
def test_a_sharper_frame_reads_below_1(scene: Scene, kind: str) -> None:
    size = {"Gaussian": 1.2, "defocus": 4.0, "shake": 4.0}[kind]
    p = taken(scene, PLACED, Made(kind=kind, size=size, angle=60))
    added, (_, hi), ratio, (_, high) = told(read(p, float(p.reference_px.max())))
    assert hi < 0 and high < 1
    assert added == pytest.approx(float(p.added_px.min()), rel=0.12)
    assert ratio == pytest.approx(float(p.frame_px.max() / p.reference_px.max()), rel=0.12)


@pytest.mark.parametrize("kind", ["Gaussian", "defocus"])
def test_a_tenth_wider_is_seen(scene: Scene, kind: str) -> None:
    size = {"Gaussian": 0.31, "defocus": 1.15}[kind]
    p = taken(scene, Made(kind=kind, size=size, shift=PLACED.shift))
    assert p.frame_px.max() / p.reference_px.max() == pytest.approx(1.1, abs=0.02)
    _, (lo, _), ratio, (low, _) = told(read(p, float(p.reference_px.max())))
    assert lo > 0 and low > 1
    assert ratio == pytest.approx(1.1, abs=0.05)


LIGHTS = {
    "three stops under": Light(gain=0.125, noise=0.002),
    "flare": Light(veil=0.25, noise=0.002),
    "light from the other side": Light(slope=(0.4, -0.4), noise=0.002),
    "noise": Light(noise=0.025),
    "smoothed noise": Light(noise=0.025, grain=True),
    "compression": Light(noise=0.003, quality=85),
}


@pytest.mark.parametrize("which", ["frame", "reference", "both"])
@pytest.mark.parametrize("how", LIGHTS)
def test_light_noise_and_compression_are_no_blur(how: str, which: str) -> None:
    light = LIGHTS[how] if which != "reference" else CLEAN
    other = LIGHTS[how] if which != "frame" else CLEAN
    added, (lo, hi), ratio, _ = told(read(taken(piece("astronaut"), light=light, other=other)))
    assert lo <= 0 <= hi
    assert ratio == pytest.approx(1, abs=0.05)
    assert abs(added) < 0.7


def test_a_reference_as_dark_and_noisy_as_the_frame_still_tells() -> None:
    dark = Light(gain=0.15, noise=0.025, quality=90)
    blurred = Made(kind="defocus", size=4, shift=PLACED.shift)
    p = taken(piece("camera"), blurred, light=dark, other=dark)
    added, (lo, _), _, _ = told(read(p))
    assert lo > 0
    assert added == pytest.approx(0.687049 * 4, rel=0.2)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.5, 0.25), (-12.3, 7.7), (19.2, -3.1)])
def test_the_shift_is_found_to_a_twentieth_of_a_pixel(
    scene: Scene, shift: tuple[float, float]
) -> None:
    found = read(taken(scene, Made(shift=shift)))
    assert found.shift_px == pytest.approx(shift, abs=0.05)


@pytest.mark.parametrize(("turned", "scaled"), [(0.25, 1.0), (0.0, 1.005), (-0.2, 0.996)])
def test_a_small_turn_or_growth_is_no_blur(turned: float, scaled: float) -> None:
    p = taken(piece("camera"), Made(shift=(3.0, 2.0), turned=turned, scaled=scaled))
    added, (lo, hi), _, _ = told(read(p))
    assert lo <= 0 <= hi
    assert abs(added) < 0.5


def test_clipped_light_is_no_blur() -> None:
    bright = imaged(piece("coffee"), Made())
    light = Light(gain=1 / float(np.quantile(bright, 0.95)), noise=0.002)
    p = taken(piece("coffee"), light=light, other=Light(gain=light.gain / 2.2, noise=0.002))
    assert np.mean(p.frame >= 254) > 0.03
    added, (lo, hi), _, _ = told(read(p))
    assert lo <= 0 <= hi
    assert abs(added) < 0.7


def test_another_subject_is_not_compared() -> None:
    a, b = taken(piece("camera")), taken(piece("astronaut"))
    found = compare(a.frame, b.reference, a.inner, 2.0)
    assert found.ratio is None and found.added_px is None and found.shift_px is None
    assert found.reason == NOT_THE_SAME


def test_plain_ground_has_nothing_to_compare() -> None:
    rng = np.random.default_rng(3)
    plain = [
        coded(0.4 + 0.004 * rng.standard_normal((200, 200)) + np.linspace(0, 0.05, 200))
        for _ in range(2)
    ]
    found = compare(plain[0], plain[1], Rect(24, 24, 152, 152), 2.0)
    assert found.reason in {NO_DETAIL, NOT_THE_SAME}
    assert found.ratio is None


def test_an_area_smaller_than_a_tile_is_not_compared() -> None:
    p = taken(piece("camera"))
    cut = p.frame[:60, :60], p.reference[:60, :60]
    assert compare(*cut, Rect(10, 10, 40, 40), 2.0).reason == OVERLAP_TOO_SMALL


def test_turned_and_mirrored_frames_read_the_same() -> None:
    # checks.md section 1, "Invariances to test".
    p = taken(piece("camera"), Made(kind="defocus", size=3, shift=PLACED.shift))
    first = told(read(p))[0]
    for turn in (np.flipud, np.fliplr, np.transpose):
        frame, reference = (np.ascontiguousarray(turn(q)) for q in (p.frame, p.reference))
        found = compare(frame, reference, p.inner, 2.0)
        assert found.added_px == pytest.approx(first, rel=0.03)


def test_sixteen_bits_and_another_curve_say_the_same() -> None:
    p = taken(piece("camera"), Made(kind="defocus", size=3, shift=PLACED.shift))
    first = told(read(p))[0]
    value = p.reference / 255
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    found = compare(
        p.frame.astype(np.uint16) * np.uint16(257),
        np.rint(linear * 65535).astype(np.uint16),
        p.inner,
        2.0,
        reference_curve=ToneCurve.LINEAR,
    )
    assert found.added_px == pytest.approx(first, rel=0.02)


def test_a_doubtful_width_of_the_reference_widens_the_ratio_but_hides_no_change() -> None:
    p = taken(piece("camera"), Made(kind="defocus", size=3, shift=PLACED.shift))
    sure, doubtful = (told(read(p, w)) for w in (2.0, EdgeWidth(2.0, 1.2, 3.4)))
    assert sure[0] == doubtful[0]
    assert 1 < doubtful[3][0] < sure[3][0] < sure[3][1] < doubtful[3][1]


def test_what_cannot_be_compared_is_refused() -> None:
    flat = np.zeros((90, 90), np.uint8)
    with pytest.raises(ValueError, match="one shape"):
        compare(flat, np.zeros((90, 91), np.uint8), Rect(0, 0, 90, 90), 2.0)
    with pytest.raises(ValueError, match="is not within"):
        compare(flat, flat, Rect(0, 0, 91, 90), 2.0)
    with pytest.raises(ValueError, match="above 0"):
        compare(flat, flat, Rect(0, 0, 90, 90), 0.0)
    with pytest.raises(TypeError, match="uint8 or uint16"):
        compare(flat.astype(np.float32), flat, Rect(0, 0, 90, 90), 2.0)  # type: ignore[arg-type]


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 140),
    st.integers(1, 140),
    st.sampled_from(["noise", "black", "white", "two", "ramp", "comb", "same"]),
    st.integers(0, 2**32 - 1),
)
def test_it_never_raises_and_bounds_enclose(
    rows: int, columns: int, ground: str, seed: int
) -> None:
    rng = np.random.default_rng(seed)

    def made() -> U8:
        if ground in {"noise", "same"}:
            return rng.integers(0, 256, (rows, columns)).astype(np.uint8)
        if ground == "two":
            return rng.choice(np.array([0, 255], np.uint8), (rows, columns))
        if ground == "ramp":
            return np.add.outer(np.arange(rows), np.arange(columns)).astype(np.uint8)
        if ground == "comb":
            comb = np.arange(columns) % 7 * 32
            return np.ascontiguousarray(np.broadcast_to(comb.astype(np.uint8), (rows, columns)))
        return np.full((rows, columns), 0 if ground == "black" else 255, np.uint8)

    frame = made()
    reference = frame if ground == "same" else made()
    with np.errstate(all="raise", under="ignore"):
        found = compare(frame, reference, Rect(0, 0, columns, rows), 2.5)
    assert (found.ratio is None) == bool(found.reason)
    assert 0 <= found.alike <= 1
    if found.ratio is not None:
        added, (lo, hi), ratio, (low, high) = told(found)
        assert lo <= added <= hi
        assert 0 < low <= ratio <= high < np.inf
    if ground == "same" and found.ratio is not None:
        assert found.ratio == pytest.approx(1, abs=0.02)
