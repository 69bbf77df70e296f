"""Olympus and OM System: AFPointSelected with AFAreas, and the later block of tag 0x030a.

ExifTool's tables Olympus::CameraSettings and Olympus::AFTargetInfo. Of the later block, only one
taken in manual focus was at hand.
"""

from __future__ import annotations

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import MANUAL, NOT_NAMED, CameraFocus, Point, found

_MANUAL = 10


def read(exif: Exif) -> CameraFocus | None:
    """Read the focus point of an Olympus or OM System camera."""
    mode = exif.words("Exif.OlympusCs.FocusMode")
    if mode and mode[0] == _MANUAL:
        return MANUAL
    corners = exif.numbers("Exif.OlympusCs.AFPointSelected")
    block = exif.words("Exif.OlympusCs.0x030a")
    areas = [_area(one) for one in exif.integers("Exif.OlympusCs.AFAreas") if one]
    if len(block) >= 6 and all(block[:2]) and all(block[4:6]):
        return _target(block)
    if len(corners) == 5 and any(corners[1:]):
        return _selected(corners[1:], areas)
    if areas:
        return found(areas, (1, 1), square=False)
    return NOT_NAMED if corners or mode else None


def _target(block: tuple[int, ...]) -> CameraFocus:
    """Width and height of a frame, then left, top, width and height of what was focused on."""
    frame_width, frame_height, left, top, width, height = block[:6]
    area = Point(left + width / 2, top + height / 2, width, height)
    return found([area], (frame_width, frame_height), square=False)


def _selected(corners: tuple[float, ...], areas: list[Point]) -> CameraFocus:
    """Fractions of the picture: left, top, right, bottom, or twice the same place."""
    left, top, right, bottom = corners
    width, height = right - left, bottom - top
    if areas and (width <= 0 or height <= 0):
        width, height = areas[0].width, areas[0].height
    centre = (left + right) / 2, (top + bottom) / 2
    return found([Point(*centre, max(width, 0), max(height, 0))], (1, 1), square=False)


def _area(packed: int) -> Point:
    """Four bytes, the largest first: left, top, right, bottom in 255ths of the picture."""
    left, top, right, bottom = (one / 255 for one in (packed & 0xFFFFFFFF).to_bytes(4, "big"))
    return Point((left + right) / 2, (top + bottom) / 2, max(right - left, 0), max(bottom - top, 0))
