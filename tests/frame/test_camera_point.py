"""The camera's point becomes an area of the picture as stored, or a sentence that says why not."""

from __future__ import annotations

import json
import pickle
from dataclasses import asdict, replace

import numpy as np
import pytest
from pydantic import TypeAdapter

from tether.frame import camera_point
from tether.frame.aim import aim
from tether.frame.answer import Answer
from tether.frame.focus_points.focus import MANUAL, CameraFocus, Point, found
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Rect, Source
from tether.settings import Area

FRAME = (6000, 4000)


def ask(tags: Tags, size: tuple[int, int] = FRAME, point_px: int = 320) -> Answer:
    picture = Picture(np.broadcast_to(np.uint8(128), (size[1], size[0])), tags)
    return camera_point.ask(picture, Area(point_px=point_px))


def focus(*points: Point, frame: tuple[float, float] | None = FRAME, **how: object) -> Tags:
    told = found(points, frame)
    return Tags(focus=replace(told, **how))  # type: ignore[arg-type]


def test_a_centre_and_a_size_become_a_rectangle() -> None:
    assert ask(focus(Point(4500, 1000, 300, 200))).rect == Rect(4350, 900, 300, 200)


def test_a_point_gets_the_size_of_the_settings() -> None:
    assert ask(focus(Point(4500, 1000)), point_px=200).rect == Rect(4400, 900, 200, 200)


def test_each_axis_is_scaled_by_itself() -> None:
    # Source: the PowerShot A520 of the samples: a frame of 2272 x 284 for 2272 x 1704 px.
    told = focus(Point(1136, 142, 409, 51), frame=(2272, 284), square=False)
    assert ask(told, (2272, 1704)).rect == Rect(932, 699, 409, 306)


def test_a_small_recording_has_the_full_frames_point_scaled() -> None:
    told = focus(Point(4500, 1000, 300, 200))
    assert ask(told, (3000, 2000)).rect == Rect(2175, 450, 150, 100)


@pytest.mark.parametrize("size", [(4000, 6000), (4000, 4000), (6000, 3375)])
def test_a_picture_cut_or_turned_since_is_not_trusted(size: tuple[int, int]) -> None:
    told = ask(focus(Point(1500, 1000, 300, 200)), size)
    assert told.rect is None
    assert "cut or turned" in told.said


def test_a_picture_of_another_shape_than_recorded_is_not_trusted_either() -> None:
    told = replace(focus(Point(0.5, 0.5), frame=(1, 1), square=False), recorded=FRAME)
    assert ask(told).rect is not None
    assert ask(told, (4000, 6000)).rect is None


@pytest.mark.parametrize(
    "point", [Point(6001, 10), Point(-1, 10), Point(10, 4000), Point(10, 10, 7000, 10)]
)
def test_a_point_outside_or_larger_than_the_frame_is_none(point: Point) -> None:
    told = ask(focus(point))
    assert told.rect is None
    assert "outside" in told.said


def test_a_frame_of_nothing_is_none() -> None:
    assert ask(focus(Point(0, 0), frame=(0, 0))).rect is None


def test_points_in_recorded_pixels_need_no_frame() -> None:
    told = replace(focus(Point(1000, 900), frame=None), recorded=(1920, 1280))
    assert ask(told, (1920, 1280)).rect == Rect(840, 740, 320, 320)
    assert ask(told, (960, 640)).rect == Rect(340, 290, 320, 320)


def test_of_several_the_one_nearest_their_middle_is_used_and_the_others_are_kept() -> None:
    # The box around all three would be two thirds background.
    told = ask(focus(Point(1000, 1000, 100, 100), Point(1900, 1100), Point(3000, 1000, 100, 100)))
    assert told.rect == Rect(1740, 940, 320, 320)
    assert told.others == (Rect(950, 950, 100, 100), Rect(2950, 950, 100, 100))
    assert "of 3" in told.said


def test_the_makers_primary_point_comes_before_the_one_in_the_middle() -> None:
    points = [Point(1000, 1000), Point(1900, 1000), Point(3000, 1000)]
    told = found(points, FRAME, in_focus=True, primary=points[2])
    assert told.points == (points[2], points[0], points[1])
    assert told.said == "the camera's point: of 3 in focus, the primary one"


def test_manual_focus_gives_way_to_the_next_source_in_words() -> None:
    picture = Picture(np.broadcast_to(np.uint8(128), (4000, 6000)), Tags(focus=MANUAL))
    told = aim(picture, Area())
    assert told.area.source is Source.FRAME_CENTRE
    words = "manual focus: the camera names no point"
    assert Answer(Source.CAMERA_FOCUS_POINT, None, words) in told.answers


def test_a_file_of_no_camera_says_so() -> None:
    assert ask(Tags()).said == "the file names no focus point of a camera"


def test_the_cameras_point_comes_before_the_subject_area_and_after_a_fixed_one() -> None:
    tags = replace(focus(Point(4500, 1000, 300, 300)), subject=(1000, 1000, 300, 300))
    picture = Picture(np.broadcast_to(np.uint8(128), (4000, 6000)), tags)
    assert aim(picture, Area()).area.rect == Rect(4350, 850, 300, 300)
    fixed = Area(fixed=[0, 0, 200, 200], sources=["fixed area", "camera focus point"])
    assert aim(picture, fixed).area.source is Source.FIXED_AREA


def test_the_value_crosses_to_another_process() -> None:
    told = found([Point(1, 2), Point(3, 4, 5, 6)], FRAME, in_focus=True)
    assert pickle.loads(pickle.dumps(told)) == told
    sent = json.loads(json.dumps(asdict(told)))
    assert TypeAdapter(CameraFocus).validate_python(sent) == told
