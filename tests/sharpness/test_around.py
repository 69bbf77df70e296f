"""The rest of a frame tells where it is sharpest, and whether it moved as the area did."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.sharpness.photographs import photograph
from tests.sharpness.pictures import U8, F, blur, disk, expose, gauss, path
from tether.model import Around, EdgeWidth, Measurement, Motion, Rect
from tether.sharpness.around import look_around, movement, sharpest
from tether.sharpness.cut import with_margin
from tether.sharpness.measure import MARGIN, measure

AREA = Rect(500, 300, 200, 200)
PIECE = 200
NAMES = ("camera", "astronaut", "coffee", "rocket", "china.jpg")


def frame() -> F:
    """A mosaic of photographs, as a sharp lens would image it."""
    pieces = [photograph(name)[:PIECE, :PIECE] for name in NAMES]
    rows = [[np.rot90(pieces[(x + 3 * y) % len(pieces)], x) for x in range(6)] for y in range(4)]
    return blur(np.vstack([np.hstack(row) for row in rows]), gauss(0.5))


def exposed(light: F) -> U8:
    return expose(light, np.random.default_rng(5), noise=0.003)


def seen(luma: U8) -> Around:
    found = look_around(luma, AREA, measure(*with_margin(luma, AREA)))
    assert found is not None
    return found


def test_the_only_sharp_place_is_found() -> None:
    light = frame()
    soft = blur(light, disk(10))
    soft[600:800, 1000:1200] = light[600:800, 1000:1200]
    where, width = seen(exposed(soft)).sharpest or (None, None)
    assert where is not None and width is not None
    assert 950 < where.x + where.width / 2 < 1200
    assert 550 < where.y + where.height / 2 < 800
    assert width.px < 3.5


def test_nowhere_is_sharper_than_an_area_as_sharp_as_the_rest() -> None:
    assert seen(exposed(frame())).sharpest is None


def test_a_movement_of_everything_is_seen_in_many_places_and_one_of_the_area_in_none() -> None:
    light = frame()
    moved = blur(light, path(12.0, 30.0))
    shaken = seen(exposed(moved))
    assert shaken.moved >= 3
    assert shaken.still == 0
    light[250:550, 450:750] = moved[250:550, 450:750]
    luma = exposed(light)
    # Whether the area alone shows its movement is the measure's business: say that it does.
    found = look_around(luma, AREA, place(6.0, 13.0, Motion(30.0, 2.5)))
    assert found is not None
    assert found.still > 3 * found.moved
    assert found.looked >= found.still + found.moved


def test_what_is_out_of_focus_keeps_still_too() -> None:
    light = frame()
    behind = blur(light, disk(12.0))
    behind[250:550, 450:750] = blur(light, path(16.0, 30.0))[250:550, 450:750]
    found = look_around(exposed(behind), AREA, place(11.5, 16.5, Motion(30.0, 2.8)))
    assert found is not None
    assert found.still >= 3
    assert found.still > found.moved
    everything = exposed(blur(blur(light, disk(12.0)), path(16.0, 30.0)))
    found = look_around(everything, AREA, place(11.5, 16.5, Motion(30.0, 2.8)))
    assert found is not None
    assert found.still == 0


def test_the_same_frame_gives_the_same_answer() -> None:
    luma = exposed(blur(frame(), path(9.0, 120.0)))
    assert seen(luma) == seen(luma)


def test_it_stops_when_told_to() -> None:
    luma = exposed(frame())
    asked: list[int] = []

    def twice() -> bool:
        asked.append(1)
        return len(asked) < 3

    assert look_around(luma, AREA, measure(*with_margin(luma, AREA)), go_on=twice) is None
    assert len(asked) == 3


@pytest.mark.parametrize("shape", [(64, 64), (64, 900), (300, 70)])
def test_a_small_frame_has_no_rest_or_a_small_one(shape: tuple[int, int]) -> None:
    rng = np.random.default_rng(6)
    luma = rng.integers(0, 256, shape).astype(np.uint8)
    nothing = Measurement(EdgeWidth(9, 8, 10), EdgeWidth(9, 8, 10), None, None, 0.01, 90, 0.0)
    found = look_around(luma, Rect(0, 0, 64, 64), nothing)
    assert found is not None
    assert found.looked <= 10


def place(
    lo: float, hi: float, motion: Motion | None = None, note: str = "", narrow: float = 2.0
) -> Measurement:
    px = (lo + hi) / 2
    narrowest = EdgeWidth(narrow, narrow - 0.2, narrow + 0.2)
    return Measurement(EdgeWidth(px, lo, hi), narrowest, motion, None, 0.01, 90, 0.0, note)


def test_a_place_moved_likewise_by_angle_and_length() -> None:
    area = place(8, 12, Motion(175, 4))
    # 10° and 175° are 15° apart: an angle of a movement has no sign.
    places = [place(7, 11, Motion(10, 3)), place(7, 11, Motion(85, 3)), place(2, 4, Motion(175, 2))]
    assert movement(area, places) == (1, 0)


def test_a_place_out_of_focus_is_no_witness_that_nothing_moved() -> None:
    area = place(8, 12, Motion(20, 4))
    blurred, lined = place(7, 14), place(2, 3, note="edges run in too few directions")
    nothing = replace(place(2, 3), widest=None, narrowest=None)
    assert movement(area, [blurred, lined, nothing]) == (0, 0)
    assert movement(area, [blurred, lined, place(2, 3)]) == (0, 1)


def test_where_the_area_shows_no_movement_the_commonest_stands_for_it() -> None:
    one_way = [place(8, 12, Motion(angle, 3)) for angle in (40, 48, 55)]
    other = [place(8, 12, Motion(angle, 3)) for angle in (120, 160)]
    assert movement(place(7, 14), [*other, *one_way, place(2, 3)]) == (3, 1)
    assert movement(place(7, 14), [place(2, 3)]) == (0, 0)


def test_the_sharpest_place_is_a_sure_one_and_sharper_than_the_area() -> None:
    where = [Rect(x, 0, 200, 200) for x in (0, 200, 400)]
    unsure, sure, soft = place(1.0, 5.0), place(2.0, 3.2), place(9, 14)
    found = sharpest(place(6, 14), list(zip(where, (unsure, sure, soft), strict=True)))
    assert found == (where[1], sure.widest)
    assert sharpest(place(6, 14), [(where[2], soft)]) is None
    assert sharpest(place(6, 14), []) is None


def test_a_cut_has_a_margin_where_the_frame_has_one() -> None:
    luma = np.arange(400 * 500).reshape(400, 500).astype(np.uint16)
    for rect in (Rect(0, 0, 90, 80), Rect(410, 320, 90, 80), Rect(200, 100, 64, 64)):
        pixels, inner = with_margin(luma, rect)
        same = pixels[inner.y : inner.y + inner.height, inner.x : inner.x + inner.width]
        here = luma[rect.y : rect.y + rect.height, rect.x : rect.x + rect.width]
        np.testing.assert_array_equal(same, here)
        assert pixels.shape[0] <= rect.height + 2 * MARGIN
