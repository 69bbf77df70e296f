"""The eye nearer to the camera is found, and when none is, that is said.

Where the eyes are was marked by hand (`tests.sitters`, `tests.portraits`), in the portraits as
they are carried.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.portraits import U8
from tests.sitters import Points, Sitter, backdrop, put, sitters
from tether.frame import nearest_eye
from tether.frame.aim import aim, ask_all
from tether.frame.answer import Answer
from tether.frame.faces_search import Search
from tether.frame.orientation import stored, upright
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Part, Rect, Source
from tether.settings import Area

CLOSE = 0.15
"""Of the eyes' distance: how far off the square about an eye may lie."""

# An orientation's inverse: what stores a picture so that `upright` shows it again.
INVERSE = {1: 1, 2: 2, 3: 3, 4: 4, 5: 5, 6: 8, 7: 7, 8: 6}


def framed(*people: tuple[Sitter, int, int]) -> tuple[U8, list[Points]]:
    """A frame of 2400 x 1600 px with these people, their portraits' corners at x, y."""
    frame = backdrop("coffee", (1600, 2400)).copy()
    return frame, [put(frame, *one) for one in people]


def ask(luma: U8, point: Rect | None = None, orientation: int = 1) -> Answer:
    return nearest_eye.ask(Picture(luma, Tags(orientation=orientation)), point)


def about(at: Points) -> Rect:
    return Rect(round(at[0]) - 40, round(at[1]) - 40, 80, 80)


def off(rect: Rect, eye: Points, eyes: Points) -> float:
    """How far the middle of a square is from an eye, in shares of the eyes' distance."""
    at = rect.x + rect.width / 2, rect.y + rect.height / 2
    return math.dist(at, eye) / math.dist(*eyes)


@pytest.mark.parametrize("sitter", [0, 1], ids=["bare", "with glasses"])
@pytest.mark.parametrize("side", [0, 1], ids=["right", "left"])
def test_of_eyes_that_are_level_the_camera_point_chooses(sitter: int, side: int) -> None:
    luma, (eyes,) = framed((sitters()[sitter].sized(160), 300, 100))
    told = ask(luma, about(eyes[side]))
    assert told.rect is not None
    assert told.eyes[0].part is (Part.RIGHT_EYE, Part.LEFT_EYE)[side]
    assert off(told.rect, eyes[side], eyes) < CLOSE
    assert off(told.eyes[1].rect, eyes[1 - side], eyes) < CLOSE
    assert "the camera's point is nearer to it" in told.said


def test_the_square_is_half_as_wide_as_the_eyes_are_apart() -> None:
    luma, _ = framed((sitters()[0].sized(200), 100, 0))
    rect = ask(luma).rect
    assert rect is not None
    assert rect.width == rect.height == pytest.approx(100, rel=0.08)


@pytest.mark.parametrize("deg", [-25, -20, 20, 25])
@pytest.mark.parametrize("side", [0, 1])
def test_of_a_turned_head_the_nearer_eye_is_taken_wherever_the_point_is(
    deg: float, side: int
) -> None:
    luma, (eyes,) = framed((sitters()[0].yawed(deg).sized(160), 300, 100))
    told = ask(luma, about(eyes[side]))
    # The model of a head in `tests.sitters`: turned by a positive angle the right eye comes nearer.
    assert told.eyes[0].part is (Part.RIGHT_EYE if deg > 0 else Part.LEFT_EYE)
    assert told.rect is not None
    assert off(told.rect, eyes[0 if deg > 0 else 1], eyes) < CLOSE
    assert "the head is turned by" in told.said


@pytest.mark.parametrize("orientation", range(1, 9))
def test_right_and_left_are_the_sitters_however_the_frame_is_stored(orientation: int) -> None:
    shown, (eyes,) = framed((sitters()[0].yawed(20).sized(150), 300, 100))
    lying = np.asarray(upright(shown, INVERSE[orientation]), np.uint8)
    told = ask(lying, orientation=orientation)
    there = stored(eyes, orientation, lying.shape[1], lying.shape[0])
    assert told.eyes[0].part is Part.RIGHT_EYE
    assert told.rect is not None
    assert off(told.rect, there[0], there) < CLOSE


@pytest.mark.parametrize("deg", [-33, 33, 90, 180, 270])
def test_a_head_that_is_tilted_or_a_frame_turned_without_saying_so_is_found(deg: int) -> None:
    luma, (eyes,) = framed((sitters()[0].yawed(20).sized(120, deg), 500, 0))
    told = ask(luma)
    assert told.eyes[0].part is Part.RIGHT_EYE
    assert told.rect is not None
    assert off(told.rect, eyes[0], eyes) < CLOSE


def test_the_point_chooses_among_people_and_without_it_the_largest_face() -> None:
    luma, (large, small) = framed(
        (sitters()[0].sized(160), 100, 100), (sitters()[1].sized(90), 1700, 600)
    )
    for point, eyes, which in ((None, large, "largest"), (about(small[0]), small, "nearest")):
        told = ask(luma, point)
        assert told.rect is not None
        assert min(off(told.rect, eye, eyes) for eye in eyes) < CLOSE
        assert f"of the {which} face" in told.said


def test_a_small_face_in_a_large_frame_is_found_with_the_camera_point_and_without() -> None:
    # 120 px from hairline to chin, 2 % of the long side.
    frame = backdrop("brick", (4000, 6000)).copy()
    eyes = put(frame, sitters()[0].sized(46), 3900, 1300)
    for point in (None, about(eyes[0] + [60, 90])):
        rect = ask(frame, point).rect
        assert rect is not None
        assert min(off(rect, eye, eyes) for eye in eyes) < CLOSE


@pytest.mark.parametrize(("tone", "lash"), [(15, False), (190, True)], ids=["hidden", "closed"])
@pytest.mark.parametrize("sitter", [0, 1])
def test_an_eye_that_is_closed_or_hidden_gives_way_to_the_other(
    sitter: int, tone: int, lash: bool
) -> None:
    near_covered = sitters()[sitter].covered(0, tone, lash).yawed(18).sized(160)
    luma, (eyes,) = framed((near_covered, 300, 100))
    told = ask(luma)
    assert [eye.part for eye in told.eyes] == [Part.LEFT_EYE]
    assert told.rect is not None
    assert off(told.rect, eyes[1], eyes) < CLOSE
    assert "the other is not seen: closed, hidden or outside" in told.said


def test_dark_glasses_hide_both_eyes_and_the_next_source_is_asked() -> None:
    luma, _ = framed((sitters()[0].with_dark_glasses().sized(160), 300, 100))
    told = ask(luma)
    assert told.rect is None
    assert told.said == "no eye is seen: closed, hidden or outside"
    assert aim(Picture(luma, Tags()), Area()).area.source is Source.FRAME_CENTRE


def test_nobody_is_said_and_the_next_source_is_asked() -> None:
    picture = Picture(framed()[0], Tags(subject=(1200, 800, 300)))
    found = aim(picture, Area())
    assert found.answers[0] == Answer(Source.NEAREST_EYE, None, "no face is found")
    assert found.area.source is Source.SUBJECT_AREA


def test_the_subject_area_is_the_cameras_point_though_the_settings_do_not_name_it() -> None:
    luma, (_, small) = framed(
        (sitters()[0].sized(160), 100, 100), (sitters()[1].sized(90), 1700, 600)
    )
    told = Tags(subject=(round(small[1][0]), round(small[1][1])))
    area = aim(Picture(luma, told), Area.model_validate({"sources": ["nearest eye"]})).area
    assert area.source is Source.NEAREST_EYE
    assert off(area.rect, small[1], small) < CLOSE


def test_both_eyes_are_named_where_they_lie_apart_and_one_where_they_do_not() -> None:
    large, (eyes,) = framed((sitters()[0].sized(200), 100, 0))
    found = aim(Picture(large, Tags()), Area())
    assert {eye.part for eye in found.eyes} == {Part.RIGHT_EYE, Part.LEFT_EYE}
    assert found.eyes[0].rect == found.area.rect
    assert {(eye.rect.width, eye.rect.height) for eye in found.eyes} == {(128, 128)}
    for eye in found.eyes:
        assert off(eye.rect, eyes[0 if eye.part is Part.RIGHT_EYE else 1], eyes) < CLOSE
    small, _ = framed((sitters()[0].sized(100), 300, 100))
    assert len(aim(Picture(small, Tags()), Area()).eyes) == 1


def test_faces_are_looked_for_once_a_frame(monkeypatch: pytest.MonkeyPatch) -> None:
    luma, _ = framed((sitters()[0].sized(160), 300, 100))
    looks, look = [], Search.look

    def counted(search: Search) -> None:
        looks.append(search)
        look(search)

    monkeypatch.setattr(Search, "look", counted)
    picture = Picture(luma, Tags())
    ask_all(picture, Area())
    assert picture.faces((700.0, 500.0)) == picture.faces()
    assert len(looks) == 1


@pytest.mark.parametrize(
    "luma",
    [
        np.zeros((1, 1), np.uint8),
        np.zeros((64, 64), np.uint8),
        np.full((900, 1400), 65535, np.uint16),
        np.random.default_rng(1).integers(0, 65536, (640, 640), np.uint16),
    ],
    ids=lambda luma: f"{luma.shape}-{luma.dtype}",
)
def test_any_picture_and_any_point_get_an_answer(luma: U8) -> None:
    for point in (None, Rect(0, 0, 1, 1), Rect(-500, 9000, 10, 10)):
        assert ask(luma, point).said == "no face is found"
