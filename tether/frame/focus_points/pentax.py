"""Pentax and Ricoh GR: the contrast AF area, 0x0231, and the AF information of 0x040c.

ExifTool's tables Pentax::Main and Pentax::AFInfoK3III. Of 0x040c no sample was at hand; its places
are taken as centres. Viewfinder points are names in every other Pentax.
"""

from __future__ import annotations

from collections.abc import Sequence

from tether.frame.exif import Exif
from tether.frame.exif import words as as_words
from tether.frame.focus_points import ricoh
from tether.frame.focus_points.focus import (
    IN_WORDS,
    MANUAL,
    NOT_NAMED,
    CameraFocus,
    Point,
    found,
)
from tether.frame.focus_points.note_ifd import NoteIfd

# Three to two, as the sensors are; what another shape of picture does to it is not known.
_CONTRAST_FRAME = (720, 480)
_MANUAL = 3
_BY_HAND = 255
_GR_MARKS = (b"RICOH\0II", b"RICOH\0MM")
_AREAS = 0x040C
_HEAD, _EACH = 7, 7
_CENTRAL, _IN_FOCUS = 0x10, 0x04


def read(exif: Exif) -> CameraFocus | None:
    """Read the focus point of a Pentax or Ricoh camera."""
    for group in ("Pentax", "PentaxDng"):
        areas = exif.words(f"Exif.{group}.0x040c")
        if len(areas) > _HEAD:
            return _areas(areas)
        if exif.words(f"Exif.{group}.Focus") == (_MANUAL,):
            return MANUAL
        area = exif.words(f"Exif.{group}.0x0231")
        if len(area) == 4 and all(area[2:]):
            left, top, width, height = area
            centre = Point(left + width / 2, top + height / 2, width, height)
            return found([centre], _CONTRAST_FRAME)
        if exif.words(f"Exif.{group}.AFPoint"):
            return IN_WORDS
    return _gr(exif.raw("Exif.Photo.MakerNote")) or ricoh.read(exif)


def _gr(note: bytes) -> CameraFocus | None:
    """The same block in the GR III's note, which the metadata reader leaves whole."""
    if not note.startswith(_GR_MARKS):
        return None
    big_endian = note.startswith(_GR_MARKS[1])
    entries = NoteIfd(note, len(_GR_MARKS[0]), big_endian=big_endian)
    areas = as_words(entries.block(_AREAS), big_endian=big_endian)
    return _areas(areas) if len(areas) > _HEAD else None


def _areas(words: Sequence[int]) -> CameraFocus:
    if words[0] == _BY_HAND:
        return MANUAL
    told = [
        words[place : place + _EACH]
        for place in range(_HEAD, _HEAD + words[3] * _EACH, _EACH)
        if place + _EACH <= len(words)
    ]
    focused = [one for one in told if one[6] & _IN_FOCUS]
    central = [one for one in told if one[6] & _CENTRAL]
    used = focused or central
    if not used or not all(used[0][:2]):
        return NOT_NAMED
    points = [Point(one[2], one[3], one[4], one[5]) for one in used]
    primary = next((p for p, one in zip(points, used, strict=True) if one[6] & _CENTRAL), None)
    frame = used[0][0], used[0][1]
    return found(points, frame, square=False, in_focus=bool(focused), primary=primary)
