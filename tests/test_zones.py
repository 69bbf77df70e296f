"""The face at the focus area tells where the focus lay, on portraits blurred by known disks."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from numpy.typing import NDArray

from mocks.light import Field
from tests.portraits import U8, astronaut, exposed, fine_portrait, focused_at, with_blurred
from tether.frame.face_zones import Zone, zones
from tether.frame.faces import Face
from tether.frame.faces_search import find
from tether.frame.picture import Picture
from tether.frame.pixels import Luma
from tether.frame.tags import Tags
from tether.model import Cause, Part, Rect
from tether.zones import FaceFinding, look_at_face

LIMIT = 3.5


@lru_cache(maxsize=2)
def portrait(far_half: float = 1.0) -> tuple[Field, tuple[Zone, ...], Face]:
    light = fine_portrait(far_half=far_half)
    (face,) = find(exposed(light), 1)
    named = zones(face)
    assert named is not None
    return light, named, face


def framed(luma: Luma, orientation: int = 1) -> Picture:
    return Picture(luma, Tags(orientation=orientation))


def looked_at(picture: U8, face: Face, orientation: int = 1) -> FaceFinding:
    found = look_at_face(framed(picture, orientation), face.box, LIMIT)
    assert found is not None
    return found


def told(found: FaceFinding) -> tuple[Cause | None, str]:
    return (found.plane.cause, found.plane.words) if found.plane else (None, "")


def test_focus_on_the_nose_is_front_focus() -> None:
    light, named, face = portrait()
    cause, words = told(looked_at(exposed(focused_at(light, named, 0.3, 60)), face))
    assert cause is Cause.FRONT_FOCUS
    assert words.startswith("the nose is sharper than the eyes (")


@pytest.mark.parametrize(("depth", "px"), [(-1.25, 14), (-0.5, 25)])
def test_focus_on_ears_or_hair_is_back_focus(depth: float, px: float) -> None:
    light, named, face = portrait()
    cause, words = told(looked_at(exposed(focused_at(light, named, depth, px)), face))
    assert cause is Cause.BACK_FOCUS
    assert words.startswith(
        "the hair" if depth == -0.5 else ("the hair", "the left ear", "the right ear")
    )


def test_a_turned_face_with_its_far_eye_sharp_is_told_in_those_words() -> None:
    light, named, face = portrait(far_half=0.5)
    far = next(zone for zone in named if zone.part is Part.FAR_EYE)
    picture = exposed(focused_at(light, named, far.depth, 30))
    found = look_at_face(framed(picture), face.box, 5.0)
    assert found is not None
    cause, words = told(found)
    assert cause is Cause.BACK_FOCUS
    assert words.startswith("the far eye is sharp and the near one is not (")


@pytest.mark.parametrize("far_half", [1.0, 0.5])
@pytest.mark.parametrize("diameter", [0.0, 4.0, 9.0, 14.0])
def test_a_face_blurred_alike_all_over_is_left_open(far_half: float, diameter: float) -> None:
    light, named, face = portrait(far_half)
    picture = exposed(with_blurred(light, {zone.rect: diameter for zone in named}))
    assert told(looked_at(picture, face)) == (None, "")


@pytest.mark.parametrize("px", [8, 14, 22])
def test_a_focus_far_behind_is_never_taken_for_front_focus(px: float) -> None:
    light, named, face = portrait()
    picture = exposed(focused_at(light, named, -3.0, px), noise=0.01)
    assert told(looked_at(picture, face))[0] in {None, Cause.BACK_FOCUS}


def test_a_frame_stored_on_its_side_is_told_the_same() -> None:
    light, named, _ = portrait()
    shown = exposed(focused_at(light, named, 0.3, 60))
    lying = np.ascontiguousarray(np.rot90(shown))
    (there,) = find(lying, 6)
    assert told(looked_at(lying, there, 6))[0] is Cause.FRONT_FOCUS
    assert there.box.height < there.box.width


def test_sixteen_bits_are_told_the_same() -> None:
    light, named, face = portrait()
    shown = exposed(focused_at(light, named, 0.3, 60)).astype(np.uint16) * 257
    found = look_at_face(framed(shown), face.box, LIMIT)
    assert found is not None
    assert told(found)[0] is Cause.FRONT_FOCUS


def test_zones_are_measured_nearest_first_and_those_outside_are_not() -> None:
    light, _, face = portrait()
    cut = exposed(light)[:, face.box.x + 10 :]
    found = look_at_face(framed(cut), Rect(20, face.box.y, 100, 100), LIMIT)
    assert found is not None
    assert found.zones[0].zone.part is Part.NOSE
    outside = {seen.zone.part for seen in found.zones if seen.measurement is None}
    assert outside == {Part.RIGHT_EAR}
    assert all(seen.rect is None for seen in found.zones if seen.measurement is None)


def test_the_face_that_the_area_lies_on_is_taken() -> None:
    pair = np.hstack([astronaut(1200), np.pad(astronaut(1000), ((0, 200), (0, 0)))])
    large, small = find(pair, 1)
    for face in (large, small):
        eye = Rect(round(face.left_eye[0]) - 20, round(face.left_eye[1]) - 20, 40, 40)
        found = look_at_face(framed(pair), eye, LIMIT)
        assert found is not None
        assert found.face == face


@pytest.mark.parametrize(
    ("picture", "area"),
    [
        (np.zeros((1, 1), np.uint8), Rect(0, 0, 1, 1)),
        (np.zeros((600, 800), np.uint8), Rect(300, 200, 100, 100)),
        (astronaut(512), Rect(180, 60, 90, 110)),
        (astronaut(1500), Rect(100, 1300, 120, 120)),
    ],
    ids=["one pixel", "nobody", "too small for zones", "another part of the picture"],
)
def test_without_a_face_there_is_nothing_to_tell(picture: NDArray[np.uint8], area: Rect) -> None:
    assert look_at_face(framed(picture), area, LIMIT) is None
