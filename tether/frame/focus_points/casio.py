"""Casio: AFPointPosition, tag 0x2021 (ExifTool's table Casio::Type2): x, frame width, y, height."""

from __future__ import annotations

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import MANUAL, NOT_NAMED, CameraFocus, Point, found

_NONE = 0xFFFF
_MANUAL = 0


def read(exif: Exif) -> CameraFocus | None:
    """Read Casio's focus point."""
    place = exif.words("Exif.Casio2.AFPointPosition")
    if len(place) != 4:
        return None
    if exif.words("Exif.Casio2.FocusMode2") == (_MANUAL,):
        return MANUAL
    x, width, y, height = place
    if _NONE in place or not width or not height:
        return NOT_NAMED
    return found([Point(x, y)], (width, height), square=False)
