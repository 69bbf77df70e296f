"""Ricoh GR of 2013: a point in recorded pixels, in a note that the metadata reader leaves whole.

ExifTool's table Ricoh::Type2: 0x1200 whether in focus, 0x1203 and 0x1204 the place.
"""

from __future__ import annotations

from tether.frame.exif import Exif
from tether.frame.focus_points.focus import NOT_NAMED, CameraFocus, Point, found
from tether.frame.focus_points.note_ifd import NoteIfd

_MARK, _START = b"Ricoh\0\0\0", 8
_STATUS, _X, _Y = 0x1200, 0x1203, 0x1204


def read(exif: Exif) -> CameraFocus | None:
    """Read the focus point of a Ricoh GR."""
    note = exif.raw("Exif.Photo.MakerNote")
    if not note.startswith(_MARK):
        return None
    entries = NoteIfd(note, _START, big_endian=True)
    x, y, status = (entries.words(tag) for tag in (_X, _Y, _STATUS))
    if not x or not y:
        return None
    if not x[0] and not y[0]:
        return NOT_NAMED
    return found([Point(x[0], y[0])], None, in_focus=status[0] == 1 if status else None)
