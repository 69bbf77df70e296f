"""Every frame is what its shot says, and says so in its tags."""

from __future__ import annotations

import io
from datetime import datetime

import cv2
import numpy as np
import pytest
import simplejpeg
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps

from mocks.light import to_linear
from mocks.scenes import bowl, maker
from mocks.shoot import SHOOT, TRUTH, Shot, render, slate, stored_area
from tether.model import Rect, Verdict

_SUBJECT_AREA = 0x9214

BY_NAME = {shot.name: shot for shot in SHOOT}
SHARP = BY_NAME["bowl-0001.jpg"]
TURNED = next(shot for shot in SHOOT if shot.turned)


@pytest.fixture(scope="module")
def frames() -> dict[str, bytes]:
    return {shot.name: render(shot) for shot in SHOOT}


def light(data: bytes, area: Rect) -> NDArray[np.float64]:
    grey = simplejpeg.decode_jpeg(data, colorspace="GRAY")[..., 0]
    part = grey[area.y : area.y + area.height, area.x : area.x + area.width]
    return to_linear(part / 255).astype(np.float64)


def card_edge(data: bytes) -> float:
    """Return the 10–90 % rise, px, of the card's left edge against the table."""
    part = light(data, Rect(1016, 800, 44, 150))
    down, across = np.mgrid[: part.shape[0], : part.shape[1]]
    after = np.argmax(part > 0.5 * part.max(), axis=1)
    rows = np.arange(len(part))
    above, below = part[rows, after], part[rows, after - 1]
    middles = after - (above - 0.5 * part.max()) / (above - below)
    slope, start = np.polyfit(rows, middles, 1)
    away = (across - start - slope * down) / np.hypot(1, slope)
    bins = np.round(away * 4).astype(int)
    wanted = np.arange(-48, 49)
    esf = np.array([part[bins == b].mean() for b in wanted])
    low, high = esf[:8].mean(), esf[-8:].mean()
    level = (esf - low) / (high - low)
    half = int(np.argmin(np.abs(level - 0.5)))
    first = int(np.flatnonzero(level[:half] < 0.1)[-1])
    last = half + int(np.flatnonzero(level[half:] > 0.9)[0])
    a = first + (0.1 - level[first]) / (level[first + 1] - level[first])
    b = last - (level[last] - 0.9) / (level[last] - level[last - 1])
    return float(b - a) / 4


def test_names_are_unique_and_told_in_the_truth() -> None:
    assert len(BY_NAME) == len(SHOOT) == len(TRUTH)
    assert sum(t.verdict is Verdict.SHARP for t in TRUTH.values()) >= 8
    assert all(t.causes or t.verdict is Verdict.SHARP for t in TRUTH.values())


def test_every_frame_is_whole(frames: dict[str, bytes]) -> None:
    for name, data in frames.items():
        assert simplejpeg.decode_jpeg(data, strict=True).shape == (1200, 1800, 3), name


@pytest.mark.parametrize("name", ["maker-0007.jpg", "maker-0006.jpg"])
def test_same_shot_same_bytes(frames: dict[str, bytes], name: str) -> None:
    assert render(BY_NAME[name]) == frames[name]


def test_sharp_frames_measure_two_to_three_px(frames: dict[str, bytes]) -> None:
    for name in ("bowl-0001.jpg", "bowl-0002.jpg", "bowl-0004.jpg", "bowl-0010.jpg"):
        assert 1.9 < card_edge(frames[name]) < 3.0


@pytest.mark.parametrize("name", ["bowl-0003.jpg", "bowl-0009.jpg"])
def test_defocus_adds_what_the_truth_says(frames: dict[str, bytes], name: str) -> None:
    sharp, soft = card_edge(frames[SHARP.name]), card_edge(frames[name])
    expected = np.hypot(sharp, 0.687049 * TRUTH[name].defocus_px)
    assert soft == pytest.approx(expected, rel=0.1)


def test_three_px_of_defocus_are_plainly_wider(frames: dict[str, bytes]) -> None:
    shot = Shot("bowl", 99, "", SHARP.exposure, "label", focus=3.0)
    assert card_edge(render(shot)) > 1.25 * card_edge(frames[SHARP.name])


def test_shake_widens_as_far_as_it_crosses_the_edge(frames: dict[str, bytes]) -> None:
    # The card is turned 3.5°: its left edge is crossed by the cosine of 16.5°.
    sharp, shaken = card_edge(frames[SHARP.name]), card_edge(frames["bowl-0005.jpg"])
    across = 0.8 * 16 * np.cos(np.deg2rad(16.5))
    assert shaken == pytest.approx(np.hypot(sharp, across), rel=0.12)


def test_focus_elsewhere_leaves_something_else_sharp(frames: dict[str, bytes]) -> None:
    wall = Rect(1000, 80, 400, 300)

    def detail(name: str) -> float:
        return float(np.var(np.diff(light(frames[name], wall), axis=1)))

    assert detail("bowl-0006.jpg") > 4 * detail(SHARP.name)
    assert card_edge(frames["bowl-0006.jpg"]) > 3 * card_edge(frames[SHARP.name])


def test_subject_motion_leaves_the_rest_alone(frames: dict[str, bytes]) -> None:
    pots, eye = Rect(240, 640, 400, 200), maker().areas["eye"]

    def lost(area: Rect) -> float:
        still, moved = (light(frames[n], area) for n in ("maker-0001.jpg", "maker-0004.jpg"))
        return float(np.var(np.diff(moved, axis=0)) / np.var(np.diff(still, axis=0)))

    assert lost(eye) < 0.35
    assert lost(pots) > 0.8


def test_plain_area_shows_nothing(frames: dict[str, bytes]) -> None:
    plain = light(frames["bowl-0007.jpg"], bowl().areas["plain"])
    assert np.abs(np.diff(plain, axis=1)).max() < 0.05


@pytest.mark.parametrize("name", [SHARP.name, "maker-0006.jpg", TURNED.name])
def test_tags_say_how_it_was_taken(frames: dict[str, bytes], name: str) -> None:
    shot, exif = BY_NAME[name], Image.open(io.BytesIO(frames[name])).getexif()
    more = exif.get_ifd(ExifTags.IFD.Exif)
    base, photo = ExifTags.Base, shot.exposure
    assert float(more[base.ExposureTime]) == pytest.approx(photo.shutter_s)
    assert float(more[base.FNumber]) == pytest.approx(photo.f_number)
    assert float(more[base.FocalLength]) == photo.focal_length_mm
    assert more[base.FocalLengthIn35mmFilm] == photo.focal_length_mm  # a sensor 36 mm wide
    assert more[base.ISOSpeedRatings] == photo.iso
    assert (more[base.LensModel], exif[base.Model]) == (photo.lens, photo.body)
    assert more[base.FocalPlaneResolutionUnit] == 3
    assert 10_000 / float(more[base.FocalPlaneXResolution]) == pytest.approx(20.0, rel=1e-6)
    datetime.strptime(more[base.DateTimeOriginal], "%Y:%m:%d %H:%M:%S")
    a = stored_area(shot, maker(shot.turned) if shot.setup == "maker" else bowl())
    assert more[_SUBJECT_AREA] == (a.x + a.width // 2, a.y + a.height // 2, a.width, a.height)
    assert exif[base.Orientation] == (6 if shot.turned else 1)


def test_turned_frame_displays_upright(frames: dict[str, bytes]) -> None:
    stored = Image.open(io.BytesIO(frames[TURNED.name]))
    shown = ImageOps.exif_transpose(stored)
    assert (stored.size, shown.size) == ((1800, 1200), (1200, 1800))
    level = maker().areas["eye"]
    upright = maker(upright=True).areas["eye"]
    eye = np.asarray(shown.convert("L"), float)[
        upright.y : upright.y + upright.height, upright.x : upright.x + upright.width
    ]
    same = np.asarray(Image.open(io.BytesIO(frames["maker-0001.jpg"])).convert("L"), float)[
        level.y : level.y + level.height, level.x : level.x + level.width
    ]
    assert np.corrcoef(eye.ravel(), same.ravel())[0, 1] > 0.99
    # And the area in the tags lies on the same eye in the stored picture.
    a = stored_area(TURNED, maker(upright=True))
    there = np.asarray(stored.convert("L"), float)[a.y : a.y + a.height, a.x : a.x + a.width]
    assert np.corrcoef(np.rot90(there, -1).ravel(), eye.ravel())[0, 1] > 0.99


def test_a_slate_of_the_shoot_shows_its_code_and_carries_its_tags() -> None:
    data = slate("Tea bowl, front", datetime(2026, 5, 14, 10, 30))
    luma = simplejpeg.decode_jpeg(data, colorspace="GRAY")[..., 0]
    # Read by OpenCV, which shares nothing with the library that reads slates.
    assert cv2.QRCodeDetector().detectAndDecode(luma)[0] == "Tea bowl, front"
    exif = Image.open(io.BytesIO(data)).getexif()
    assert exif[ExifTags.Base.DateTime] == "2026:05:14 10:30:00"
    assert _SUBJECT_AREA not in exif.get_ifd(ExifTags.IFD.Exif)
