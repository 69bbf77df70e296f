"""A fixed area follows a small move of the camera, and knows when it cannot."""

from __future__ import annotations

import numpy as np
import pytest

from tests.frame.scene import HEIGHT, LABEL, WIDTH, frame
from tether.frame.anchor import LONG_SIDE, Anchor, coded, decoded, lay, reduced, times_for
from tether.frame.follow import FARTHEST, follow
from tether.frame.pixels import Luma
from tether.model import Rect

NEAR = 4
"""px: small against the smallest area, of 128 px."""


@pytest.fixture(scope="module")
def anchor() -> Anchor:
    return lay(frame(), LABEL, "bowl-0001", drawn=True)


def off(found: tuple[int, int] | None, right: int, down: int) -> float:
    assert found is not None
    return max(abs(found[0] - right), abs(found[1] - down))


@pytest.mark.parametrize(("right", "down"), [(0, 0), (7, -3), (-41, 26), (72, -48), (-72, 10)])
@pytest.mark.parametrize(
    "changed",
    [{}, {"light": 0.3}, {"light": 3.0}, {"blur_sigma": 4.0}, {"light": 0.3, "noise": 12.0}],
    ids=str,
)
def test_it_follows_up_to_a_twentieth_of_the_frame_however_light_and_sharpness_changed(
    anchor: Anchor, right: int, down: int, changed: dict[str, float]
) -> None:
    found = follow(frame(right, down, **changed), anchor)  # type: ignore[arg-type]
    assert off(found.shift, right, down) <= NEAR
    assert not found.farther
    assert not found.other


@pytest.mark.parametrize(("right", "down"), [(110, 0), (-100, 90), (0, -105)])
def test_a_move_beyond_that_is_known_for_what_it_is(anchor: Anchor, right: int, down: int) -> None:
    assert max(abs(right), abs(down)) > FARTHEST * WIDTH
    found = follow(frame(right, down), anchor)
    assert found.farther
    assert off(found.shift, right, down) <= NEAR


def test_another_scene_is_told(anchor: Anchor) -> None:
    found = follow(frame(of="maker"), anchor)
    assert (found.shift, found.other) == (None, True)


@pytest.mark.parametrize("orientation", [1, 3])
def test_a_camera_turned_upside_down_is_not_followed(anchor: Anchor, orientation: int) -> None:
    turned = frame()[::-1, ::-1] if orientation == 3 else frame()
    assert (follow(np.ascontiguousarray(turned), anchor).shift is None) is (orientation == 3)


@pytest.mark.parametrize(
    "seen",
    [
        np.zeros((HEIGHT, WIDTH), np.uint8),
        np.full((HEIGHT, WIDTH), 255, np.uint8),
        np.random.default_rng(2).normal(120, 25, (HEIGHT, WIDTH)).clip(0, 255).astype(np.uint8),
        frame(blur_sigma=80.0),
    ],
    ids=["cap on", "burnt out", "noise alone", "nothing in focus"],
)
def test_a_frame_that_cannot_tell_says_nothing(anchor: Anchor, seen: Luma) -> None:
    found = follow(seen, anchor)
    assert (found.shift, found.farther, found.other) == (None, False, False)


def test_a_frame_of_sixteen_bits_is_followed(anchor: Anchor) -> None:
    sixteen = frame(20, 10).astype(np.uint16) * np.uint16(256)
    assert off(follow(sixteen, anchor).shift, 20, 10) <= NEAR


@pytest.mark.parametrize(
    "rect",
    [Rect(0, 0, 128, 128), Rect(WIDTH - 128, HEIGHT - 128, 128, 128), Rect(0, 0, WIDTH, HEIGHT)],
)
def test_an_area_at_the_edge_is_followed_as_well(rect: Rect) -> None:
    anchor = lay(frame(), rect, "bowl-0001", drawn=True)
    assert off(follow(frame(-20, -12), anchor).shift, -20, -12) <= NEAR


def test_the_small_picture_comes_back_as_it_was_coded(anchor: Anchor) -> None:
    back = decoded(coded(anchor.small), anchor.size)
    assert np.abs(back.astype(int) - anchor.small).mean() < 2
    with pytest.raises(ValueError, match="is not 1500 x 1000"):
        decoded(coded(anchor.small), (6000, 4000))
    with pytest.raises(ValueError, match=r"."):
        decoded(b"no picture", anchor.size)


def test_a_frame_is_reduced_by_whole_numbers() -> None:
    # Of 6000 px: 4 times smaller, each px the mean of 16.
    assert [times_for(*size) for size in ((1440, 960), (1600, 9), (1601, 9), (6000, 4000))] == [
        1, 1, 2, 4,
    ]  # fmt: skip
    blocks = np.kron(np.arange(12, dtype=np.uint8).reshape(3, 4), np.ones((4, 4), np.uint8))
    assert (reduced(blocks, Rect(0, 0, 16, 12), 4) == np.arange(12).reshape(3, 4)).all()
    assert LONG_SIDE == 1600
