"""Tags are read once, typed, and nonsense in them is no news."""

from __future__ import annotations

import pytest

from tests.pictures import grey, jpeg
from tether.frame import tags
from tether.sharpness.tone import ToneCurve

SHOT = {
    "Exif.Image.Model": "Studio One",
    "Exif.Image.Orientation": "6",
    "Exif.Photo.ExposureTime": "1/125",
    "Exif.Photo.FNumber": "28/10",
    "Exif.Photo.FocalLength": "85/1",
    "Exif.Photo.ISOSpeedRatings": "200",
    "Exif.Photo.LensModel": "Studio 85mm f/1.8",
    "Exif.Photo.SubjectArea": "300 200 80 60",
    "Exif.Photo.PixelXDimension": "512",
    "Exif.Photo.PixelYDimension": "512",
}


def read(**changes: str) -> tags.Tags:
    names = {key.rsplit(".", 1)[1]: key for key in SHOT}
    exif = {**SHOT, **{names.get(k, f"Exif.Photo.{k}"): v for k, v in changes.items()}}
    return tags.read(jpeg(grey(), {key: value for key, value in exif.items() if value}), 512, 512)


def test_the_exposure_is_what_the_camera_wrote() -> None:
    found = read().exposure
    assert found.shutter_s == pytest.approx(1 / 125)
    assert (found.f_number, found.focal_length_mm, found.iso) == (2.8, 85.0, 200)
    assert (found.lens, found.body) == ("Studio 85mm f/1.8", "Studio One")


def test_apex_values_stand_in_where_the_plain_ones_are_missing() -> None:
    # Source: CIPA DC-008 (APEX): 0x9201 6.965784 is 1/125 s, 0x9202 4.970854 is f/5.6.
    found = read(
        ExposureTime="",
        FNumber="",
        ShutterSpeedValue="6965784/1000000",
        ApertureValue="4970854/1000000",
    ).exposure
    assert found.shutter_s == pytest.approx(1 / 125, rel=1e-4)
    assert found.f_number == pytest.approx(5.6, abs=0.01)


def test_orientation_and_subject_come_unchanged() -> None:
    found = read()
    assert found.orientation == 6
    assert found.subject == (300, 200, 80, 60)
    assert found.recorded == (512, 512)


@pytest.mark.parametrize("value", ["0", "9", "77"])
def test_an_orientation_that_is_none_is_upright(value: str) -> None:
    assert read(Orientation=value).orientation == 1


# 36 mm over 6000 px is 4233.33 px an inch, 1666.67 px a cm: a pitch of 6.000 µm.
@pytest.mark.parametrize(("per_unit", "unit"), [("423333/100", "2"), ("166667/100", "3")])
def test_the_pitch_comes_from_the_focal_plane(per_unit: str, unit: str) -> None:
    found = read(FocalPlaneXResolution=per_unit, FocalPlaneResolutionUnit=unit)
    assert found.exposure.pixel_pitch_um == pytest.approx(6.0, abs=0.001)


def test_the_pitch_comes_from_35_mm_terms_where_there_is_no_focal_plane() -> None:
    # Source: CIPA DCG-001: the same diagonal angle of view, so half of 43.267 mm over 724.08 px.
    found = read(FocalLengthIn35mmFilm="170")
    assert found.exposure.pixel_pitch_um == pytest.approx(29.877, abs=0.001)


def test_35_mm_terms_are_by_the_diagonal_whatever_the_shape() -> None:
    # ExifTool's sample of an iPhone 7 (Apple.jpg): 3.99 mm is 28 mm, 4032 x 3024 px. Its pixels are
    # 1.22 µm, from memory; by the width it would be 1.27.
    exif = {"Exif.Photo.FocalLength": "399/100", "Exif.Photo.FocalLengthIn35mmFilm": "28"}
    for size in ((4032, 3024), (3024, 4032)):
        found = tags.read(jpeg(grey(), exif), *size).exposure
        assert found.pixel_pitch_um == pytest.approx(1.22, abs=0.01)


def test_adobe_rgb_is_known_by_its_colour_space_or_its_mark() -> None:
    assert read().curve is ToneCurve.SRGB
    assert read(ColorSpace="2").curve is ToneCurve.GAMMA_2_2


def test_no_metadata_is_no_error() -> None:
    assert tags.read(jpeg(grey()), 512, 512) == tags.Tags()


@pytest.mark.parametrize("cut", [30, 60, 100, 200, 300])
def test_damaged_metadata_yields_what_it_can(cut: int) -> None:
    whole = jpeg(grey(), SHOT)
    damaged = whole[:cut] + bytes(b ^ 0x5A for b in whole[cut : cut + 64]) + whole[cut + 64 :]
    assert tags.read(damaged, 512, 512).orientation in range(1, 9)


def test_a_shutter_of_nought_is_unknown() -> None:
    found = read(ExposureTime="0/1", FNumber="0/0")
    assert found.exposure.shutter_s is None
    assert found.exposure.f_number is None
