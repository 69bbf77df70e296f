"""Fujifilm: tag 0x1023 (FocusPixel of ExifTool's FujiFilm::Main): a point in recorded pixels."""

from __future__ import annotations

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import MANUAL, NOT_NAMED, CameraFocus, Point, found

_MANUAL = 1


def read(exif: Exif) -> CameraFocus | None:
    """Read Fujifilm's focus point; in manual focus it is the one of some frame before."""
    place = exif.words("Exif.Fujifilm.FocusPoint")
    if exif.words("Exif.Fujifilm.FocusMode") == (_MANUAL,):
        return MANUAL
    if len(place) != 2:
        return None
    if not any(place):
        return NOT_NAMED
    return found([Point(place[0], place[1])], None)
