"""An eye that is open is told from one that is closed or hidden, in any light, sharp or not."""

from __future__ import annotations

import numpy as np
import pytest

from tests.portraits import U8
from tests.sitters import Sitter, darkened, sitters
from tether.frame.eyes_shown import eyes_shown
from tether.frame.faces_search import find

BOTH = pytest.mark.parametrize("sitter", sitters(), ids=["bare", "with glasses"])


def shown(picture: U8) -> tuple[bool, bool]:
    (face,) = find(picture, 1)
    return eyes_shown(picture, face, face.eye_distance)


@BOTH
@pytest.mark.parametrize("px", [0, 12, 30])
def test_open_eyes_are_seen_however_soft(sitter: Sitter, px: float) -> None:
    large = sitter.sized(200)
    assert shown(large.blurred(px).picture if px else large.picture) == (True, True)


@BOTH
def test_open_eyes_are_seen_in_the_dark(sitter: Sitter) -> None:
    assert shown(darkened(sitter.sized(200).picture, 5)) == (True, True)


@BOTH
def test_both_are_seen_when_the_light_comes_from_one_side(sitter: Sitter) -> None:
    large = sitter.sized(200)
    # Coded values fall to a third across the face: three stops and more of light.
    x, reach = large.eyes.mean(axis=0)[0], large.eye_distance
    fall = np.interp(np.arange(large.picture.shape[1]), [x - reach, x + reach], [1.0, 0.33])
    assert shown(np.asarray(large.picture * fall, np.uint8)) == (True, True)


@BOTH
@pytest.mark.parametrize("eye", [0, 1])
@pytest.mark.parametrize(
    ("tone", "lash"), [(190, False), (15, False), (190, True)], ids=["skin", "black", "closed"]
)
def test_one_that_is_covered_or_closed_is_not_seen(
    sitter: Sitter, eye: int, tone: int, lash: bool
) -> None:
    assert shown(sitter.sized(200).covered(eye, tone, lash).picture) == (eye == 1, eye == 0)


@BOTH
def test_behind_dark_glasses_no_eye_is_seen(sitter: Sitter) -> None:
    assert shown(sitter.sized(200).with_dark_glasses().picture) == (False, False)
