"""Sony: FocusLocation and FocusFrameSize, and what bodies before them wrote.

Layouts: ExifTool's table Sony::Main, tags 0x2027, 0x2037, 0x201b to 0x201d and 0x202a.
"""

from __future__ import annotations

from tether.frame.exif import Exif, words
from tether.frame.focus_points.focus import MANUAL, NOT_NAMED, CameraFocus, Point, found, nothing

_UNKNOWN = nothing("the camera names the middle of the frame, as it does when it knows no point")
_CENTRE_MODES = {1, 9}
_FLEXIBLE_SPOT = 3
# The flexible spot counts in a frame of this size, stretched over the picture.
_SPOT_FRAME = (640, 480)
_MODE_OF_ANY_BODY = 0x7F


def read(exif: Exif) -> CameraFocus | None:
    """Read Sony's focus point; its tags come in two groups by the kind of note."""
    for group in ("Sony1", "Sony2"):
        location = exif.words(f"Exif.{group}.FocusLocation")
        mode = exif.raw(f"Exif.{group}.AFAreaModeSetting")
        if location or mode:
            if _manual(exif, group):
                return MANUAL
            return _read(exif, group, location, mode[0] if mode else -1)
    return None


def _manual(exif: Exif, group: str) -> bool:
    deciphered = exif.raw("Exif.Sony2Fp.FocusMode")
    if deciphered:
        return deciphered[0] & _MODE_OF_ANY_BODY == 0
    # Compact cameras mostly leave 0 in the other place, whatever they do.
    plain = exif.raw(f"Exif.{group}.FocusMode2")
    compact = (exif.text("Exif.Image.Model") or "").startswith("DSC-")
    return bool(plain) and plain[0] == 0 and not compact


def _read(exif: Exif, group: str, location: tuple[int, ...], mode: int) -> CameraFocus:
    named = len(location) == 4 and any(location)
    size = words(exif.raw(f"Exif.{group}.FocusFrameSize"), big_endian=exif.big_endian)
    sized = len(size) >= 3 and size[2] != 0
    if named:
        width, height, x, y = location
        middle = (x, y) == (width // 2, height // 2)
        if sized or not middle or mode in _CENTRE_MODES:
            area = Point(x, y, size[0], size[1]) if sized else Point(x, y)
            return found([area], (width, height))
    spot = exif.words(f"Exif.{group}.FlexibleSpotPosition")
    if mode == _FLEXIBLE_SPOT and len(spot) == 2 and any(spot):
        return found([Point(spot[0], spot[1])], _SPOT_FRAME, square=False, in_focus=False)
    used = _on_the_sensor(exif.raw(f"Exif.{group}.0x202a"), big_endian=exif.big_endian)
    if used is not None:
        return used
    return _UNKNOWN if named else NOT_NAMED


def _on_the_sensor(block: bytes, *, big_endian: bool) -> CameraFocus | None:
    """Points of the sensor's own grid: byte 1 counts them, then frame and places; roughly."""
    if len(block) < 6 or not block[1]:
        return None
    width, height, *places = words(block[2:], big_endian=big_endian)
    pairs = list(zip(places[::2], places[1::2], strict=False))[: block[1]]
    points = [Point(x, y) for x, y in pairs]
    return found(points, (width, height), square=False) if points else None
