"""A first look finds what is large or where it is likely; all of them find the rest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.portraits import U8
from tests.sitters import backdrop, far_off, put, sitters
from tether.frame.faces import Face
from tether.frame.faces_likely import Likely, at_rect, likely
from tether.frame.faces_search import Search, find
from tether.frame.orientation import upright
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Rect

# An orientation's inverse: what stores a picture so that `upright` shows it again.
INVERSE = {1: 1, 2: 2, 3: 3, 4: 4, 5: 5, 6: 8, 7: 7, 8: 6}


def looked(luma: U8, orientation: int = 1, *places: Likely) -> Search:
    search = Search(luma, orientation, None, places)
    search.look()
    return search


def test_a_large_face_ends_the_search_at_the_first_look() -> None:
    frame = backdrop("coffee", (1600, 2400)).copy()
    put(frame, sitters()[0].sized(160), 300, 100)
    search = looked(frame)
    assert len(search.faces) == 1
    assert (search.ended, search.late) == (True, ())


def test_a_small_one_is_left_to_the_rest_of_the_looks() -> None:
    search = looked(far_off()[0])
    assert (search.faces, search.ended) == ((), False)
    assert search.look_on()
    assert (len(search.faces), len(search.late), search.ended) == (1, 1, True)
    assert search.faces == find(far_off()[0], 1)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("roll", [-90.0, 0.0, 50.0, 180.0])
def test_it_is_found_where_it_was_however_it_lies_and_the_frame_is_stored(
    orientation: int, roll: float
) -> None:
    shown = backdrop("gravel", (1000, 1500)).copy()
    put(shown, sitters()[0].sized(26.0, -roll), 900, 300)
    frame = np.ascontiguousarray(upright(shown, INVERSE[orientation]), np.uint8)
    (face,) = find(frame, orientation)
    place = likely(face, frame, orientation)
    assert abs((place.roll_deg - roll + 180) % 360 - 180) < 12
    search = looked(frame, orientation, place)
    (again,) = search.faces
    assert np.hypot(*np.subtract(again.nose, face.nose)) < face.eye_distance / 4
    # Upright it is found without; else others may be larger.
    assert search.ended is (roll == 0)


def test_likely_places_change_when_a_face_is_found_and_not_which_are() -> None:
    frame, _ = far_off()
    put(frame, sitters()[1].sized(30.0), 300, 1200)
    every = find(frame, 1)
    assert len(every) == 2
    hinted = looked(frame, 1, likely(every[1], frame, 1))
    assert [same(every[1], one) for one in hinted.faces] == [True]
    assert hinted.look_on()
    assert len(hinted.faces) == 2
    assert all(same(one, other) for one, other in zip(every, hinted.faces, strict=True))


def test_a_place_may_lie_anywhere() -> None:
    frame = backdrop("brick", (200, 300))
    for place in (
        Likely(-5.0, 0.5, 0.1),
        Likely(0.5, 9.0, 3.0, 45.0),
        Likely(0.0, 0.0, 0.02),
        Likely(0.5, 0.5, 0.0),
        at_rect(Rect(-500, 100, 4000, 1), frame),
    ):
        assert looked(frame, 6, place).faces == ()


def test_looking_on_stops_between_two_steps_and_may_begin_again() -> None:
    search = looked(far_off()[0])
    asked: list[bool] = []

    def twice() -> bool:
        asked.append(True)
        return len(asked) < 3

    assert not search.look_on(twice)
    assert (search.faces, search.ended, len(asked)) == ((), False, 3)
    assert search.look_on()
    assert len(search.faces) == 1


def test_a_picture_that_is_not_hurried_is_looked_through_at_once() -> None:
    frame = far_off()[0]
    patient, hurried = Picture(frame, Tags()), Picture(frame, Tags(), hurried=True)
    assert not hurried.searching  # nobody has asked for a face yet
    assert len(patient.faces()) == 1
    assert hurried.faces() == ()
    assert (patient.searching, hurried.searching) == (False, True)
    assert hurried.look_on()
    assert hurried.faces() == patient.faces()
    assert hurried.late == patient.late != ()
    assert replace(hurried, anchor=None).faces() == patient.faces()


def same(one: Face, other: Face) -> bool:
    return bool(np.hypot(*np.subtract(one.nose, other.nose)) < one.eye_distance / 4)
