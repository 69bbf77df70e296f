"""What a camera's words mean.

Words are those of libgphoto2 2.5.34 (the text in its driver `ptp2`) for several makers; the
standard's codings are ISO 15740's: ExposureTime in 1/10 000 s, FocusDistance in mm.
"""

from __future__ import annotations

import math

import pytest

from tether.arrivals.camera import values
from tether.arrivals.camera.messages import Store
from tether.model import CameraSettings, FocusMode


@pytest.mark.parametrize(
    ("said", "seconds"),
    [
        ("1/125", 1 / 125),
        ("1/125s", 1 / 125),
        ("0.0080s", 0.008),
        ("0.005s", 0.005),
        ("1.3", 1.3),
        ("30", 30.0),
        ("13/10", 1.3),
        ('0"5', 0.5),
        ("bulb", None),
        ("Time", None),
        ("auto", None),
        ("0", None),
        ("1/0", None),
        ("", None),
        ("<null>", None),
        ("9" * 400, None),
    ],
)
def test_a_shutter_time(said: str, seconds: float | None) -> None:
    assert values.shutter_s(said) == (None if seconds is None else pytest.approx(seconds))


@pytest.mark.parametrize(
    ("said", "number"),
    [("f/2.8", 2.8), ("2.8", 2.8), ("F11", 11.0), ("f/0", None), ("implicit auto", None)],
)
def test_an_f_number(said: str, number: float | None) -> None:
    assert values.f_number(said) == number


@pytest.mark.parametrize(
    ("said", "mode"),
    [
        ("AF-S", FocusMode.SINGLE),
        ("One Shot", FocusMode.SINGLE),
        ("Single-Servo AF", FocusMode.SINGLE),
        ("DMF", FocusMode.SINGLE),
        ("AF-C", FocusMode.CONTINUOUS),
        ("AI Servo", FocusMode.CONTINUOUS),
        ("C-AF", FocusMode.CONTINUOUS),
        ("Continuous-servo AF", FocusMode.CONTINUOUS),
        ("AF-F", FocusMode.CONTINUOUS),
        ("AF-A", FocusMode.AUTOMATIC),
        ("AI Focus", FocusMode.AUTOMATIC),
        ("Manual", FocusMode.MANUAL),
        ("MF", FocusMode.MANUAL),
        # The standard's own word tells no more than that the camera focuses.
        ("Automatic", None),
        ("", None),
    ],
)
def test_a_focus_mode(said: str, mode: FocusMode | None) -> None:
    assert values.focus_mode(said) is mode


@pytest.mark.parametrize(
    ("said", "charge"),
    [("80%", 80.0), ("100", 100.0), ("0%", 0.0), ("Low", None), ("255", None)],
)
def test_a_battery(said: str, charge: float | None) -> None:
    assert values.percent(said) == charge


@pytest.mark.parametrize(
    ("lens", "length"),
    [
        ("EF85mm f/1.8 USM", 85.0),
        ("AF-S Nikkor 35mm 1:1.8G DX", 35.0),
        ("EF24-70mm f/2.8L II USM", None),
        ("AF Nikkor 80-200mm 1:2.8 D ED", None),
        ("", None),
    ],
)
def test_a_prime_lens_tells_its_focal_length_and_a_zoom_does_not(
    lens: str, length: float | None
) -> None:
    assert values.prime_mm(lens) == length


@pytest.mark.parametrize(
    ("raw", "metres"),
    [(1500.0, 1.5), ("2345", 2.345), (0xFFFF, math.inf), (0, None), ("near", None), (None, None)],
)
def test_a_focus_distance(raw: str | float | None, metres: float | None) -> None:
    assert values.distance_m(raw) == metres


def test_the_library_s_words_come_before_the_standard_s_number() -> None:
    assert values.settings({"500d": "80"}).shutter_s == pytest.approx(1 / 125)
    assert values.settings({"500d": "80", "shutterspeed": "1/60"}).shutter_s == pytest.approx(
        1 / 60
    )
    bulb = values.settings({"500d": "80", "shutterspeed": "bulb"})
    assert (bulb.shutter_s, bulb.shutter_said) == (None, "bulb")


def test_nothing_told_is_nothing_known() -> None:
    assert values.settings({}) == CameraSettings()


def test_nonsense_counts_as_not_told() -> None:
    found = values.settings(
        {
            "batterylevel": "Unknown value 00ff",
            "datetime": "yesterday",
            "shutterspeed": "\x1b[31m",
            "f-number": "f/",
            "iso": "Auto",
            "focallength": "nan",
            "5009": "?",
            "imagequality": "Unknown value 0001",
            "focusmode": "7",
        },
        Store(),
    )
    assert found.battery_pct is None
    assert (found.clock, found.shutter_s, found.f_number, found.iso) == (None,) * 4
    assert (found.focal_length_mm, found.focus_distance_m, found.focus_mode) == (None,) * 3
    assert found.file_format == found.focus_mode_said == ""
    assert "\x1b" not in found.shutter_said
