"""What makers' notes tell of lens, focus and stabiliser.

Codes: the tables of ExifTool 12.57 and exiv2 0.28, for each maker's tag.
"""

from __future__ import annotations

import math

import exiv2
import pytest

from tests.pictures import grey, jpeg
from tether.frame import tags
from tether.model import Exposure, FocusMode

CANON, NIKON, SONY, FUJIFILM = "Canon", "NIKON CORPORATION", "SONY", "FUJIFILM"
OLYMPUS, PANASONIC, PENTAX = "OLYMPUS IMAGING CORP.", "Panasonic", "PENTAX"


def taken(make: str, **keys: str) -> Exposure:
    named = {f"Exif.{key.replace('__', '.')}": value for key, value in keys.items()}
    data = jpeg(grey(), {"Exif.Image.Make": make, **named})
    return tags.read(data, 512, 512).exposure


@pytest.mark.parametrize(
    ("make", "key", "value", "mode"),
    [
        (CANON, "CanonCs__FocusMode", "0", "single"),
        (CANON, "CanonCs__FocusMode", "1", "continuous"),
        (CANON, "CanonCs__FocusMode", "2", "automatic"),
        (CANON, "CanonCs__FocusMode", "3", "manual"),
        (CANON, "CanonCs__FocusMode", "16", None),
        (NIKON, "Nikon3__Focus", "AF-C  ", "continuous"),
        (NIKON, "Nikon3__Focus", "MANUAL", "manual"),
        (SONY, "Sony1__FocusMode2", "3", "continuous"),
        (SONY, "Sony1__FocusMode2", "0", None),
        (FUJIFILM, "Fujifilm__FocusMode", "1", "manual"),
        (FUJIFILM, "Fujifilm__FocusSetting", "1", "single"),
        (PANASONIC, "Panasonic__FocusMode", "2", "manual"),
        (PANASONIC, "Panasonic__FocusMode", "6", "single"),
        (OLYMPUS, "OlympusCs__FocusMode", "2 0", "continuous"),
        (OLYMPUS, "OlympusCs__FocusMode", "10 0", "manual"),
        (PENTAX, "Pentax__Focus", "17", "continuous"),
        (PENTAX, "Pentax__Focus", "3", "manual"),
    ],
)
def test_the_focus_mode_is_each_makers(make: str, key: str, value: str, mode: str | None) -> None:
    assert taken(make, **{key: value}).focus_mode == (FocusMode(mode) if mode else None)


@pytest.mark.parametrize(
    ("make", "key", "value", "on"),
    [
        (CANON, "CanonCs__ImageStabilization", "1", True),
        (CANON, "CanonCs__ImageStabilization", "256", False),
        (CANON, "CanonCs__ImageStabilization", "-1", None),
        (NIKON, "NikonVr__VibrationReduction", "1", True),
        (NIKON, "NikonVr__VibrationReduction", "2", False),
        (NIKON, "NikonVr__VibrationReduction", "0", None),
        (SONY, "Sony1__ImageStabilization", "1", True),
        (SONY, "Sony1__ImageStabilization", "4294967295", None),
        (FUJIFILM, "Fujifilm__ImageStabilization", "2 0 0", False),
        (FUJIFILM, "Fujifilm__ImageStabilization", "2 1 0", True),
        (PANASONIC, "Panasonic__ImageStabilization", "3", False),
        (PANASONIC, "Panasonic__ImageStabilization", "9", True),
        (OLYMPUS, "OlympusCs__ImageStabilization", "0", False),
        (PENTAX, "Pentax__ShakeReduction", "0 7 0 0", True),
        (PENTAX, "Pentax__ShakeReduction", "0 4 0 0", False),
        (PENTAX, "Pentax__ShakeReduction", "0 5 0 0", False),
    ],
)
def test_the_stabiliser_is_each_makers(make: str, key: str, value: str, on: bool | None) -> None:
    assert taken(make, **{key: value}).stabilised is on


# Source: CIPA DC-008 SubjectDistance: a numerator of 0 is unknown, of FFFFFFFF infinity. ExifTool
# writes infinity as 1/0.
@pytest.mark.parametrize(
    ("ratio", "metres"),
    [((132, 100), 1.32), ((0xFFFFFFFF, 1), math.inf), ((1, 0), math.inf), ((0, 1), None)],
)
def test_the_standards_distance(ratio: tuple[int, int], metres: float | None) -> None:
    image = exiv2.ImageFactory.open(jpeg(grey()))
    image.readMetadata()
    image.exifData()["Exif.Photo.SubjectDistance"] = exiv2.URationalValue(ratio)
    image.writeMetadata()
    found = tags.read(bytes(image.io().mmap()), 512, 512).exposure
    assert found.focus_distance_m == metres


@pytest.mark.parametrize(
    ("upper", "lower", "metres"),
    [
        # ExifTool reads 0.37 m and 0.35 m in exiv2's CanonEF100mmF2.8LMacroISUSM.exv.
        ("37", "35", 0.36),
        # And 7.41 m and 1.88 m in exiv2-bug1166.exv, which is no place.
        ("741", "188", None),
        ("65535", "8191", math.inf),
        ("65535", "376", None),
        ("0", "0", None),
    ],
)
def test_a_distance_between_two_ends(upper: str, lower: str, metres: float | None) -> None:
    found = taken(CANON, CanonFi__FocusDistanceUpper=upper, CanonFi__FocusDistanceLower=lower)
    assert found.focus_distance_m == metres


def test_a_distance_in_mm_whatever_its_denominator() -> None:
    # ExifTool reads 0.705 m of an Olympus E-M5 III whose tag holds 705/10.
    for ratio in ("705/10", "705/1"):
        assert taken(OLYMPUS, OlympusFi__FocusDistance=ratio).focus_distance_m == 0.705


@pytest.mark.parametrize("none", ["----", "", "0.0 mm f/0.0", "0 0 0", "(65535)"])
def test_a_lens_without_a_name_gives_way_to_the_makers(none: str) -> None:
    found = taken(CANON, Photo__LensModel=none, Canon__LensModel="Studio 85mm f/1.8")
    assert found.lens == "Studio 85mm f/1.8"


def test_a_sensitivity_past_its_field_is_told_elsewhere() -> None:
    # Source: CIPA DC-008: PhotographicSensitivity is 65535 where it is larger.
    found = taken("", Photo__ISOSpeedRatings="65535", Photo__RecommendedExposureIndex="102400")
    assert found.iso == 102400
