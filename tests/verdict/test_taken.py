"""How a frame was focused and held, in words."""

from __future__ import annotations

import math

import pytest

from tether.model import Exposure, FocusMode
from tether.verdict.taken import focusing


@pytest.mark.parametrize(
    ("mode", "distance", "stabilised", "words"),
    [
        (None, None, None, ""),
        (FocusMode.MANUAL, 1.324, False, "manual focus at 1.32 m, stabiliser off"),
        (FocusMode.SINGLE, math.inf, None, "single autofocus at infinity"),
        (None, 0.31, True, "focused at 0.31 m, stabiliser on"),
        (None, None, True, "stabiliser on"),
    ],
)
def test_what_is_told_is_said_and_no_more(
    mode: FocusMode | None, distance: float | None, stabilised: bool | None, words: str
) -> None:
    taken = Exposure(focus_mode=mode, focus_distance_m=distance, stabilised=stabilised)
    assert focusing(taken) == words
