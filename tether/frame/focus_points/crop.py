"""Focus points of a whole sensor, in a picture that the camera recorded a part of."""

from __future__ import annotations

from dataclasses import replace

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import CameraFocus

_ALIKE = 0.02


def by_canon_aspect(told: CameraFocus, exif: Exif) -> CameraFocus:
    """Shift points where the camera was set to another shape than its sensor's.

    ExifTool's table Canon::AspectInfo: the shape, then width, height, left and top of what was
    recorded. No sample with another shape was at hand: the sides cut away are taken as equal.
    """
    told_part = exif.numbers("Exif.Canon.AspectInfo")
    if told.frame is None or len(told_part) < 5:
        return told
    _, width, height, left, top = told_part[:5]
    if not left and not top:
        return told
    whole = width + 2 * left, height + 2 * top
    if min(width, height) <= 0 or not _alike(told.frame[0] / told.frame[1], whole[0] / whole[1]):
        return told
    return _cropped(told, told.frame[0] / whole[0], left, top, width, height)


def by_nikon_crop(told: CameraFocus, exif: Exif) -> CameraFocus:
    """Shift points of the whole sensor where a crop was recorded (DX on FX, 5:4, 1:1).

    ExifTool's tag Nikon 0x001b: the kind, width and height of the whole, and width, height, left
    and top of the crop. Points that are of the crop's own frame stay.
    """
    words = exif.words("Exif.Nikon3.CropHiSpeed")
    if told.frame is None or len(words) < 7:
        return told
    _, whole, _, width, height, left, top = words[:7]
    if width in {0, whole} or not _alike(told.frame[0], whole):
        return told
    return _cropped(told, told.frame[0] / whole, left, top, width, height)


def _alike(one: float, other: float) -> bool:
    return other > 0 and abs(one / other - 1) < _ALIKE


def _cropped(
    told: CameraFocus, scale: float, left: float, top: float, width: float, height: float
) -> CameraFocus:
    points = tuple(
        replace(one, x=one.x - left * scale, y=one.y - top * scale) for one in told.points
    )
    return replace(told, points=points, frame=(width * scale, height * scale))
