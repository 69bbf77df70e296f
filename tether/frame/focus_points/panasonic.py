"""Panasonic, and the Leica cameras it makes: AFPointPosition, tag 0x004d, fractions of the picture.

ExifTool's table Panasonic::Main. Of the size beside it (0x00de) no sample was at hand.
"""

from __future__ import annotations

from collections.abc import Sequence

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import MANUAL, NOT_NAMED, CameraFocus, Point, found
from tether.frame.focus_points.note_ifd import NoteIfd

_MANUAL = 2
_LEICA = b"LEICA\0\0\0"
_POSITION = 0x4D
_OF_POSITIONS = 256
# In manual focus the size is the largest number over 1024.
_NO_SIZE = 4_000_000


def read(exif: Exif) -> CameraFocus | None:
    """Read Panasonic's or Leica's focus point."""
    if exif.words("Exif.Panasonic.FocusMode") == (_MANUAL,):
        return MANUAL
    place = exif.numbers("Exif.Panasonic.AFPointPosition")
    size = exif.numbers("Exif.Panasonic.0x00de")
    if not place:
        note = exif.raw("Exif.Photo.MakerNote")
        return _leica(note) if note.startswith(_LEICA) else None
    if size and size[0] > _NO_SIZE:
        return MANUAL
    return _read(place, size)


def _read(place: Sequence[float], size: Sequence[float]) -> CameraFocus:
    if len(place) != 2 or not any(place) or not all(0 <= one <= 1 for one in place):
        return NOT_NAMED
    sized = len(size) == 2 and all(0 < one <= 1 for one in size)
    area = Point(place[0], place[1], *(size if sized else ()))
    return found([area], (1, 1), square=False)


def _leica(note: bytes) -> CameraFocus | None:
    """The same tag in a note that the metadata reader leaves whole.

    Its offsets count from the start of the metadata, which the note does not know: the lowest one
    points right behind the directory, with or without the four bytes that end a directory.
    """
    entries = NoteIfd(note, len(_LEICA), big_endian=False)
    if _POSITION not in entries.entries:
        return None
    for behind in (entries.end, entries.end + 4):
        numbers = entries.longs(_POSITION, behind)
        # Only positions have this denominator, so a wrong guess is told from a right one.
        if len(numbers) == 4 and numbers[1] == numbers[3] == _OF_POSITIONS:
            return _read((numbers[0] / numbers[1], numbers[2] / numbers[3]), ())
    return NOT_NAMED
