"""What a camera writes beside the pixels: Exif, put into a finished JPEG in memory."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

import exiv2

from tether.model import Exposure, Rect

MAKE = "Kiln Street"
_CENTIMETRE = 3
_FULL_FRAME_MM = 36.0


@dataclass(frozen=True, slots=True)
class Tags:
    """What is known of one picture.

    `width` and `height` are those of the stored image, px, and `area` lies in it; `orientation`
    is Exif's (1 upright, 6 to be turned 90° clockwise for display).
    """

    exposure: Exposure
    width: int
    height: int
    when: datetime
    area: Rect | None = None
    orientation: int = 1


def tagged(jpeg: bytes, tags: Tags) -> bytes:
    """Return the JPEG with its Exif; the pixels stay as they are."""
    image = exiv2.ImageFactory.open(jpeg)
    image.readMetadata()
    exif = image.exifData()
    for key, value in _values(tags).items():
        exif[f"Exif.{key}"] = value
    image.setExifData(exif)
    image.writeMetadata()
    with image.io().data() as whole:
        return bytes(whole)


def _values(tags: Tags) -> dict[str, str]:
    """Return Exif's text of each tag by its group and name."""
    e = tags.exposure
    when = f"{tags.when:%Y:%m:%d %H:%M:%S}"
    values = {
        "Image.Make": MAKE,
        "Image.Orientation": str(tags.orientation),
        "Image.DateTime": when,
        "Photo.DateTimeOriginal": when,
        "Photo.SubSecTimeOriginal": f"{tags.when.microsecond // 10_000:02d}",
        "Photo.PixelXDimension": str(tags.width),
        "Photo.PixelYDimension": str(tags.height),
    }
    if e.body is not None:
        values["Image.Model"] = e.body
    if e.lens is not None:
        values["Photo.LensModel"] = e.lens
    if e.shutter_s is not None:
        values["Photo.ExposureTime"] = _ratio(e.shutter_s)
    if e.f_number is not None:
        values["Photo.FNumber"] = _ratio(e.f_number)
    if e.iso is not None:
        values["Photo.ISOSpeedRatings"] = str(e.iso)
    if e.focal_length_mm is not None:
        values["Photo.FocalLength"] = _ratio(e.focal_length_mm)
    if e.pixel_pitch_um is not None:
        per_cm = Fraction(10_000) / Fraction(e.pixel_pitch_um).limit_denominator(1000)
        values["Photo.FocalPlaneXResolution"] = _ratio(float(per_cm))
        values["Photo.FocalPlaneYResolution"] = _ratio(float(per_cm))
        values["Photo.FocalPlaneResolutionUnit"] = str(_CENTIMETRE)
        if e.focal_length_mm is not None:
            long_side = max(tags.width, tags.height) * e.pixel_pitch_um / 1000
            equivalent = round(e.focal_length_mm * _FULL_FRAME_MM / long_side)
            values["Photo.FocalLengthIn35mmFilm"] = str(equivalent)
    if tags.area is not None:
        a = tags.area
        # CIPA DC-008: the middle, then width and height.
        middle = f"{a.x + a.width // 2} {a.y + a.height // 2}"
        values["Photo.SubjectArea"] = f"{middle} {a.width} {a.height}"
    return values


def _ratio(value: float) -> str:
    ratio = Fraction(value).limit_denominator(10_000)
    return f"{ratio.numerator}/{ratio.denominator}"
