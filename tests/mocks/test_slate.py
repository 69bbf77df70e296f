"""A drawn slate is where and as large as it was asked for, and its code is the standard's."""

from __future__ import annotations

import numpy as np
import pytest

from mocks.scenes import bowl, compose
from mocks.slate import KINDS, Slate, held, in_scene, symbol
from tests.slated import TEXTS


def test_upc_e_is_drawn_as_the_standard_shows_it() -> None:
    # GS1 General Specifications: set A is odd, set B even; 101, six digits, 010101. From memory of
    # its table: 04252614 has the check digit 4, parity BABBAA.
    digits = {"4A": "0100011", "2A": "0010011", "5A": "0110001", "6A": "0101111", "1A": "0011001"}
    digits |= {"4B": "0011101", "2B": "0011011", "5B": "0111001"}
    drawn = [digits[one] for one in ("4B", "2A", "5B", "2B", "6A", "1A")]
    bars = "101" + "".join(drawn) + "010101"
    assert "".join("1" if bar else "0" for bar in symbol("upce", "04252614")[0]) == bars


@pytest.mark.parametrize(("kind", "modules"), [("ean13", 95), ("ean8", 67), ("upca", 95)])
def test_codes_of_products_have_the_modules_of_the_standard(kind: str, modules: int) -> None:
    # GS1 General Specifications, dimensions of the symbols without quiet zones.
    assert symbol(kind, TEXTS[kind]).shape == (1, modules)


def test_a_qr_code_begins_with_its_finder() -> None:
    # ISO/IEC 18004: seven modules, a ring of ink, one of paper, a middle of three.
    corner = symbol("qr", "BOWL 14")[:7, :7]
    assert corner[0].all() and corner[3].tolist() == [True, False, True, True, True, False, True]


@pytest.mark.parametrize("kind", ["aztec", ""])
def test_other_kinds_are_refused(kind: str) -> None:
    with pytest.raises(ValueError, match="no kind of code"):
        symbol(kind, "1")


@pytest.mark.parametrize("text", ["1425261", "14252614", "0425261X"])
def test_a_text_that_is_no_upc_e_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="UPC-E"):
        symbol("upce", text)


@pytest.mark.parametrize("kind", KINDS)
def test_corners_lie_about_the_middle_that_was_asked_for(kind: str) -> None:
    drawn = held(Slate(TEXTS[kind], kind, share=0.2, at=(0.4, 0.6), turn_deg=0), 1000, 800)
    middle = drawn.corners.mean(0)
    assert abs(middle[0] - 400) < 2 and abs(middle[1] - 480) < 30
    layer = drawn.layer
    assert layer.cover is not None
    assert layer.x < drawn.corners[:, 0].min() and layer.y < drawn.corners[:, 1].min()
    assert layer.light.shape == (*layer.cover.shape, 3)
    assert layer.light.min() >= 0 and layer.light.max() <= 1.01


def test_a_tilt_makes_one_side_smaller_and_a_turn_turns_counter_clockwise() -> None:
    def sides(slate: Slate) -> tuple[float, float]:
        corners = held(slate, 1000, 800).corners
        left, right = corners[3] - corners[0], corners[2] - corners[1]
        return float(np.hypot(*left)), float(np.hypot(*right))

    left, right = sides(Slate("BOWL 14", tilt_deg=30, turn_deg=0))
    assert left > 1.05 * right
    turned = held(Slate("BOWL 14", turn_deg=20), 1000, 800).corners
    assert turned[1][1] < turned[0][1]


def test_a_slate_hides_what_is_behind_it_and_leaves_the_rest() -> None:
    with_it, without = compose(in_scene(bowl(), Slate("BOWL 14"))), compose(bowl())
    assert np.array_equal(with_it[:300], without[:300])
    assert not np.allclose(with_it[600, 900], without[600, 900])
