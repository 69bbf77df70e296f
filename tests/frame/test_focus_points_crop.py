"""A part of the sensor was recorded: points of the whole are shifted into the part."""

from __future__ import annotations

import pytest

from tests.pictures import grey, jpeg
from tests.samples import reading
from tether.frame.exif import Exif
from tether.frame.focus_points.crop import by_canon_aspect, by_nikon_crop
from tether.frame.focus_points.focus import Point, found


class Told(Exif):
    """What a camera wrote into one tag."""

    def __init__(self, *values: int) -> None:
        super().__init__(None)
        self._values = values

    def numbers(self, key: str) -> tuple[float, ...]:
        return tuple(float(one) for one in self._values)

    def words(self, key: str) -> tuple[int, ...]:
        return self._values


WHOLE = found([Point(3000, 2000, 300, 200), Point(700, 2000)], (6000, 4000))


def test_canon_aspect_shifts_by_what_was_cut_at_the_left_and_top() -> None:
    # Source: ExifTool, Canon::AspectInfo: shape, width, height, left, top. 1:1 of 6000 x 4000.
    told = by_canon_aspect(WHOLE, Told(1, 4000, 4000, 1000, 0))
    assert told.frame == (4000, 4000)
    assert told.points == (Point(2000, 2000, 300, 200), Point(-300, 2000))


def test_canon_aspect_of_a_small_recording_is_scaled() -> None:
    told = by_canon_aspect(WHOLE, Told(1, 2000, 2000, 500, 0))
    assert told.frame == (4000, 4000)
    assert told.points[0] == Point(2000, 2000, 300, 200)


@pytest.mark.parametrize("told", [(), (0, 6000, 4000, 0, 0), (1, 0, 0, 0, 0), (1, 2, 9000, 40, 0)])
def test_canon_aspect_of_the_whole_or_of_nonsense_changes_nothing(told: tuple[int, ...]) -> None:
    assert by_canon_aspect(WHOLE, Told(*told)) == WHOLE


def test_a_nikon_crop_shifts_points_of_the_whole_sensor() -> None:
    # Source: ExifTool, Nikon 0x001b CropHiSpeed: kind, whole, crop, left, top. DX of FX.
    told = by_nikon_crop(WHOLE, Told(2, 6000, 4000, 4000, 2668, 1000, 666))
    assert told.frame == (4000, 2668)
    assert told.points[0] == Point(2000, 1334, 300, 200)


def test_a_nikon_point_in_the_crops_own_frame_stays() -> None:
    cropped = found([Point(2000, 1334)], (4000, 2668))
    assert by_nikon_crop(cropped, Told(2, 6000, 4000, 4000, 2668, 1000, 666)) == cropped


@pytest.mark.parametrize("told", [(), (0, 6000, 4000, 6000, 4000, 0, 0), (2, 0, 0, 0, 0, 0, 0)])
def test_no_nikon_crop_changes_nothing(told: tuple[int, ...]) -> None:
    assert by_nikon_crop(WHOLE, Told(*told)) == WHOLE


def test_a_picture_without_notes_has_no_point() -> None:
    assert reading.read(jpeg(grey(8))).focus is None
