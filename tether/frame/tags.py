"""A picture's Exif, read once a frame from its bytes."""

from __future__ import annotations

import logging
import math
from dataclasses import dataclass, field

import exiv2

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import CameraFocus
from tether.model import Exposure
from tether.sharpness.tone import ToneCurve

_log = logging.getLogger(__name__)

# The reader's own messages would land on the terminal, in the middle of the dashboard.
exiv2.LogMsg.setLevel(exiv2.LogMsg.Level.mute)

FULL_FRAME_MM = 36.0
_UNIT_MM = {2: 25.4, 3: 10.0, 4: 1.0, 5: 0.001}


@dataclass(frozen=True, slots=True)
class Tags:
    """What the metadata says; None where it says nothing.

    `subject` is Exif SubjectArea or SubjectLocation as written (2 to 4 numbers, px), and
    `recorded` the size in px that it is written for. `focus` is the camera's own focus point.
    """

    exposure: Exposure = field(default_factory=Exposure)
    orientation: int = 1
    subject: tuple[int, ...] | None = None
    recorded: tuple[int, int] | None = None
    curve: ToneCurve = ToneCurve.SRGB
    focus: CameraFocus | None = None


def read(data: bytes, width: int) -> Tags:
    """Read the tags of a picture that is `width` px wide; damaged metadata yields what it can."""
    from tether.frame.focus_points.read import read as focus_point

    try:
        image = exiv2.ImageFactory.open(data)
        image.readMetadata()
        exif = image.exifData()
    except Exception as problem:  # the binding raises its own and built-in kinds
        _log.info("no metadata read: %s", problem)
        return Tags()
    exif = Exif(exif)
    orientation = exif.whole("Exif.Image.Orientation")
    recorded = (
        exif.whole("Exif.Photo.PixelXDimension"),
        exif.whole("Exif.Photo.PixelYDimension"),
    )
    return Tags(
        exposure=_exposure(exif, width),
        orientation=orientation if orientation and orientation <= 8 else 1,
        subject=_subject(exif),
        recorded=(recorded[0], recorded[1]) if recorded[0] and recorded[1] else None,
        curve=_curve(exif),
        focus=focus_point(exif),
    )


def _exposure(exif: Exif, width: int) -> Exposure:
    speed = exif.numbers("Exif.Photo.ShutterSpeedValue")
    stop = exif.numbers("Exif.Photo.ApertureValue")
    # APEX: t = 2^-Tv, N = 2^(Av/2); used only where the plain tags are missing (CIPA DC-008).
    shutter = exif.number("Exif.Photo.ExposureTime") or _power(-speed[0] if speed else None)
    f_number = exif.number("Exif.Photo.FNumber") or _power(stop[0] / 2 if stop else None)
    return Exposure(
        shutter_s=float(f"{shutter:.6g}") if shutter else None,
        f_number=round(f_number, 2) if f_number else None,
        focal_length_mm=exif.number("Exif.Photo.FocalLength"),
        iso=exif.whole("Exif.Photo.ISOSpeedRatings"),
        lens=exif.text("Exif.Photo.LensModel"),
        body=exif.text("Exif.Image.Model"),
        pixel_pitch_um=_pitch(exif, width),
    )


def _power(exponent: float | None) -> float | None:
    if exponent is None or not -30 < exponent < 30:
        return None
    return float(2.0**exponent)


def _pitch(exif: Exif, width: int) -> float | None:
    """Distance of two pixels on the sensor in µm: by the focal plane's tags, else 35 mm terms."""
    per_unit = exif.number("Exif.Photo.FocalPlaneXResolution")
    unit = _UNIT_MM.get(exif.whole("Exif.Photo.FocalPlaneResolutionUnit") or 2)
    recorded = exif.whole("Exif.Photo.PixelXDimension") or width
    pitch = None
    if per_unit and unit:
        # Written for the recorded size; a file reduced since then has larger pixels.
        pitch = 1000 * unit / per_unit * recorded / width
    focal = exif.number("Exif.Photo.FocalLength")
    equivalent = exif.number("Exif.Photo.FocalLengthIn35mmFilm")
    if pitch is None and focal and equivalent:
        pitch = 1000 * FULL_FRAME_MM * focal / equivalent / width
    # Phones begin near 0.5 µm; nothing that takes pictures has pixels of 100 µm.
    return round(pitch, 3) if pitch is not None and 0.3 < pitch < 100 else None


def _subject(exif: Exif) -> tuple[int, ...] | None:
    for key, counts in (("SubjectArea", (2, 3, 4)), ("SubjectLocation", (2,))):
        found = exif.numbers(f"Exif.Photo.{key}")
        if len(found) in counts and all(math.isfinite(one) and one >= 0 for one in found):
            return tuple(round(one) for one in found)
    return None


def _curve(exif: Exif) -> ToneCurve:
    # 2 is not in the standard but written by some; R03 is DCF's mark of Adobe RGB.
    adobe = exif.whole("Exif.Photo.ColorSpace") == 2
    index = exif.text("Exif.Iop.InteroperabilityIndex")
    return ToneCurve.GAMMA_2_2 if adobe or index == "R03" else ToneCurve.SRGB
