"""A place is named as whoever looks at the picture, the right way up, would name it."""

from __future__ import annotations

import numpy as np
import pytest

from tether.frame.orientation import upright
from tether.model import Rect
from tether.verdict.place import place


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        (0, 0, "upper left"),
        (450, 0, "top"),
        (900, 500, "lower right"),
        (0, 250, "left"),
        (450, 250, "centre"),
        (450, 500, "bottom"),
    ],
)
def test_the_ninths_of_a_picture_have_names(x: int, y: int, words: str) -> None:
    assert place(Rect(x, y, 100, 100), (1000, 600)) == words


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize(("x", "y"), [(0, 0), (80, 10), (35, 55), (5, 28), (44, 2)])
def test_it_is_where_the_turned_pixels_are(orientation: int, x: int, y: int) -> None:
    stored = np.zeros((60, 90), np.uint8)
    stored[y : y + 4, x : x + 6] = 255
    shown = upright(stored, orientation)
    down, across = np.argwhere(shown).mean(0)
    found = Rect(round(across), round(down), 1, 1)
    height, width = shown.shape
    assert place(Rect(x, y, 6, 4), (90, 60), orientation) == place(found, (width, height))
