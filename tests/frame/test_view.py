"""A point of a small picture is told where it lies in the frame, however it was turned."""

from __future__ import annotations

import numpy as np
import pytest

from tether.frame.view import View, view
from tether.model import Rect

FRAME = (900, 1400)
AT = (610, 480)
"""Column and row of the only bright square of the frame, 12 px wide, its corner."""


def dotted(dtype: type[np.uint8] | type[np.uint16] = np.uint8) -> np.ndarray:
    frame = np.zeros(FRAME, dtype)
    frame[AT[1] : AT[1] + 12, AT[0] : AT[0] + 12] = np.iinfo(dtype).max
    return frame


def told(seen: View) -> tuple[float, float]:
    """Where the square's middle lies in the frame, by what the small picture shows."""
    weight = seen.picture.astype(float)
    rows, columns = np.indices(weight.shape) + 0.5
    middle = np.array([(columns * weight).sum(), (rows * weight).sum()]) / weight.sum()
    x, y = seen.placed(middle)
    return float(x), float(y)


@pytest.mark.parametrize("part", [Rect(0, 0, 1400, 900), Rect(500, 400, 300, 200)])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_turned_and_mirrored_it_leads_back(part: Rect, orientation: int) -> None:
    seen = view(dotted(), part, 350).turned(orientation)
    assert told(seen) == pytest.approx((AT[0] + 6, AT[1] + 6), abs=1)


@pytest.mark.parametrize("deg", [-38, 10, 38])
@pytest.mark.parametrize("orientation", [1, 6])
def test_tilted_it_leads_back(deg: float, orientation: int) -> None:
    seen = view(dotted(), Rect(0, 0, 1400, 900), 350).turned(orientation).tilted(deg, 350)
    assert seen.picture.shape == (350, 350)
    assert told(seen) == pytest.approx((AT[0] + 6, AT[1] + 6), abs=1)


def test_a_positive_tilt_turns_counter_clockwise() -> None:
    whole = view(dotted(), Rect(0, 0, 1400, 900), 350)
    frame = np.zeros_like(whole.picture)
    frame[-20:, 230:250] = 255
    tilted = View(frame, whole.back).tilted(30, 350)
    rows, columns = np.nonzero(tilted.picture)
    # 65 px to the right of the middle and 102.5 below it, by the textbook's rotation:
    turn = np.radians(30)
    right, below = (
        65 * np.cos(turn) + 102.5 * np.sin(turn),
        102.5 * np.cos(turn) - 65 * np.sin(turn),
    )
    assert columns.mean() + 0.5 == pytest.approx(175 + right, abs=1)
    assert rows.mean() + 0.5 == pytest.approx(175 + below, abs=1)


def test_sixteen_bits_are_seen_as_eight_and_dark_ones_as_bright() -> None:
    deep, eight = (view(dotted(kind), Rect(0, 0, 1400, 900), 350) for kind in (np.uint16, np.uint8))
    assert (deep.picture == eight.picture).all()
    ramp = np.tile(np.arange(64, dtype=np.uint8) // 4 + 3, (64, 1))
    seen = view(ramp, Rect(0, 0, 64, 64), 350).picture
    assert (seen.min(), seen.max()) == (0, 255)
