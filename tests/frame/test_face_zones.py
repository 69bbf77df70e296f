"""Zones lie on the parts they are named for, ordered by how far they are from the camera."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.portraits import astronaut
from tether.frame.face_zones import SMALLEST_SIDE, Zone, yaw_deg, zones
from tether.frame.faces import Face
from tether.frame.faces_search import find
from tether.frame.orientation import stored
from tether.model import Part, Rect

D = 200.0
FRONTAL = Face(
    Rect(800, 800, 400, 500), (900.0, 1000.0), (1100.0, 1000.0), (1000.0, 1125.0),
    (920.0, 1220.0), (1080.0, 1220.0), 1.0,
)  # fmt: skip


def turned(deg: float) -> Face:
    """A face that is turned: its eyes, nose tip (80 px before them) and mouth, seen from afar."""
    a = math.radians(deg)

    def seen(x: float, y: float, z: float) -> tuple[float, float]:
        return 1000 + x * math.cos(a) + z * math.sin(a), 1000 + y

    return replace(
        FRONTAL,
        right_eye=seen(-100, 0, 0),
        left_eye=seen(100, 0, 0),
        nose=seen(0, 125, 80),
        mouth_right=seen(-80, 220, 0),
        mouth_left=seen(80, 220, 0),
    )


def moved(face: Face, orientation: int) -> Face:
    """The face as a frame of 3000 x 2000 px with another orientation stores it."""

    def at(point: tuple[float, float]) -> tuple[float, float]:
        x, y = stored(np.array(point), orientation, 3000, 2000)
        return float(x), float(y)

    return replace(
        face,
        right_eye=at(face.right_eye),
        left_eye=at(face.left_eye),
        nose=at(face.nose),
        mouth_right=at(face.mouth_right),
        mouth_left=at(face.mouth_left),
    )


def named(face: Face) -> dict[Part, Zone]:
    found = zones(face)
    assert found is not None
    return {zone.part: zone for zone in found}


def middle(zone: Zone) -> tuple[float, float]:
    r = zone.rect
    return r.x + r.width / 2, r.y + r.height / 2


def holds(rect: Rect, point: tuple[float, float]) -> bool:
    return rect.x <= point[0] < rect.x + rect.width and rect.y <= point[1] < rect.y + rect.height


@pytest.mark.parametrize("deg", [-50, -30, -10, 0, 5, 20, 45])
def test_yaw_is_the_angle_that_the_head_was_turned_by(deg: float) -> None:
    assert yaw_deg(turned(deg)) == pytest.approx(deg, abs=0.1)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_turning_or_mirroring_the_frame_changes_nothing_of_it(orientation: int) -> None:
    assert yaw_deg(moved(turned(30), orientation)) == pytest.approx(30, abs=0.1)
    here, there = named(turned(30)), named(moved(turned(30), orientation))
    for part, zone in here.items():
        wanted = stored(np.array(middle(zone)), orientation, 3000, 2000)
        assert middle(there[part]) == pytest.approx(tuple(wanted), abs=1)


def test_the_eye_on_the_side_that_comes_forward_is_the_near_one() -> None:
    assert holds(named(turned(30))[Part.NEAR_EYE].rect, turned(30).right_eye)
    assert holds(named(turned(-30))[Part.NEAR_EYE].rect, turned(-30).left_eye)
    assert holds(named(turned(-30))[Part.FAR_EYE].rect, turned(-30).right_eye)


def test_a_face_that_looks_into_the_camera_has_no_near_eye() -> None:
    assert {Part.RIGHT_EYE, Part.LEFT_EYE} < named(turned(10)).keys()
    assert Part.NEAR_EYE not in named(turned(10))


@pytest.mark.parametrize("deg", [0, 20, -25])
def test_parts_are_ordered_from_the_camera_back(deg: float) -> None:
    found = zones(turned(deg))
    assert found is not None
    depths = [zone.depth for zone in found]
    assert depths == sorted(depths, reverse=True)
    parts = [zone.part for zone in found]
    eyes = [part for part in parts if part.value.endswith("eye")]
    assert parts[0] is Part.NOSE
    assert parts.index(Part.HAIR) > parts.index(eyes[-1])
    assert parts[-1].value.endswith("ear")


def test_the_near_cheek_lies_before_the_near_eye_and_that_before_the_far_eye() -> None:
    found = named(turned(25))
    assert found[Part.NEAR_CHEEK].depth > found[Part.NEAR_EYE].depth > found[Part.FAR_EYE].depth


def test_a_head_turned_by_30_degrees_has_one_eye_half_an_eye_distance_before_the_other() -> None:
    found = named(turned(30))
    assert found[Part.NEAR_EYE].depth - found[Part.FAR_EYE].depth == pytest.approx(0.5, abs=0.01)


def test_zones_of_a_portrait_hold_what_they_are_named_for() -> None:
    (face,) = find(astronaut(3000), 1)
    found = named(face)
    # Marked by hand in the 512 px picture: the tip of the nose, the parting of the lips, a lobe of
    # each ear, hair over the forehead.
    marks = {
        Part.NOSE: (225, 128),
        Part.MOUTH: (225, 146),
        Part.RIGHT_EYE: (203, 101),
        Part.LEFT_EYE: (246, 103),
        Part.RIGHT_EAR: (178, 122),
        Part.LEFT_EAR: (277, 125),
        Part.HAIR: (229, 44),
    }
    for part, (across, down) in marks.items():
        assert holds(found[part].rect, (across * 3000 / 512, down * 3000 / 512)), part
    for part in (Part.NOSE, Part.MOUTH, Part.RIGHT_EYE, Part.LEFT_EYE):
        assert holds(face.box, middle(found[part]))


def test_zones_of_a_small_face_keep_the_size_that_a_measurement_needs() -> None:
    small = named(moved_to(FRONTAL, 0.45))
    assert {zone.rect.width for zone in small.values()} == {SMALLEST_SIDE}


def test_a_face_too_small_has_no_zones() -> None:
    assert zones(moved_to(FRONTAL, 0.39)) is None
    assert zones(moved_to(FRONTAL, 0.0)) is None
    assert yaw_deg(moved_to(FRONTAL, 0.0)) == 0


def test_no_zone_grows_without_end() -> None:
    assert max(zone.rect.width for zone in named(moved_to(FRONTAL, 20)).values()) == 400


def moved_to(face: Face, scale: float) -> Face:
    """The face at another size."""

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return point[0] * scale, point[1] * scale

    return replace(
        face,
        right_eye=at(face.right_eye),
        left_eye=at(face.left_eye),
        nose=at(face.nose),
        mouth_right=at(face.mouth_right),
        mouth_left=at(face.mouth_left),
    )
