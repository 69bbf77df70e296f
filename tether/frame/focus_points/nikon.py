"""Nikon: the second AF information, tag 0x00b7, in all its versions, and the first, 0x0088.

Layouts: ExifTool's tables Nikon::AFInfo, AFInfo2, AFInfo2V0101, AFInfo2V0300 and AFInfo2V0400. Live
view and mirrorless bodies give a centre and a size from the top left corner; a viewfinder's point
is a number in a grid whose places the file does not hold, but for number 1, the centre.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from tether.frame.exif import Exif
from tether.frame.focus_points.crop import by_nikon_crop
from tether.frame.focus_points.focus import (
    MANUAL,
    NOT_NAMED,
    CameraFocus,
    Point,
    found,
    nothing,
)

_IN_THE_GRID = nothing("the camera names a viewfinder point by its number only, not where it lies")
_PLACE = (
    *("ImageWidth", "ImageHeight", "AreaXPosition", "AreaYPosition"),
    *("AreaWidth", "AreaHeight"),
)
# Viewfinder bodies are three to two; another shape was cut, and its middle may be elsewhere.
_SENSOR = (3, 2)
_CENTRE = Point(1.5, 1)
_CENTRE_NUMBER = 1
# AFAreaMode in live view.
_ON = {
    3: "a face",
    4: "what it followed",
    198: "a person",
    199: "an animal",
    202: "a face",
    203: "what it followed",
    207: "what it followed",
}


@dataclass(frozen=True, slots=True)
class _Block:
    """What every version tells; `place` is frame width, height, x, y, width, height."""

    has_place: bool
    place: tuple[int, ...]
    in_focus: bool | None
    mode: int
    number: int


def read(exif: Exif) -> CameraFocus | None:
    """Read Nikon's focus point."""
    if (exif.text("Exif.Nikon3.Focus") or "").upper() == "MANUAL":
        return MANUAL
    block = _decoded(exif) or _raw(exif.raw("Exif.Nikon3.AFInfo2"), big_endian=exif.big_endian)
    if block is None:
        return _first_generation(exif)
    if not block.has_place:
        return _viewfinder(block.number)
    frame_width, frame_height, x, y, width, height = block.place
    if not frame_width or not frame_height or not x:
        return NOT_NAMED
    told = found(
        [Point(x, y, width, height)],
        (frame_width, frame_height),
        in_focus=block.in_focus,
        on=_ON.get(block.mode, ""),
    )
    return by_nikon_crop(told, exif)


def _decoded(exif: Exif) -> _Block | None:
    """Versions 0100 and 0101, which the metadata reader takes apart."""
    for group in ("NikonAf2", "NikonAf22"):
        live = exif.raw(f"Exif.{group}.ContrastDetectAF")
        if not live:
            continue
        place = [exif.words(f"Exif.{group}.AF{name}") for name in _PLACE]
        number = exif.raw(f"Exif.{group}.PrimaryAFPoint")
        if group == "NikonAf22":
            # Its bytes from 0x0f on come in one piece; the point's number is byte 0x44.
            number = exif.raw("Exif.NikonAf22.0x000f")[0x44 - 0x0F :]
        mode = exif.raw(f"Exif.{group}.AFAreaMode")
        sure = exif.raw(f"Exif.{group}.ContrastDetectAFInFocus")
        return _Block(
            has_place=live[0] == 1 and all(place),
            place=tuple(one[0] if one else 0 for one in place),
            in_focus=sure[0] == 1 if sure else None,
            mode=mode[0] if mode else -1,
            number=number[0] if number else 0,
        )
    return None


def _raw(block: bytes, *, big_endian: bool) -> _Block | None:
    """Versions 0300 and 0301 (Z6, D780 and their like), 0400 to 0402 (Z9 and later)."""
    version = block[:4]
    # Place of the numbers, then of the byte that says whether it came into focus.
    start, result = {b"03": (0x2A, None), b"04": (0x3E, 0x4A)}.get(version[:2], (0, None))
    if not start or len(block) < start + 12:
        return None
    place = struct.unpack_from(f"{'>' if big_endian else '<'}6H", block, start)
    sure = block[result] == 1 if result is not None and result < len(block) else None
    phase_by_viewfinder = version[:2] == b"03" and block[6] != 0
    return _Block(
        has_place=block[7] == 1,
        place=place,
        in_focus=sure,
        mode=block[5],
        number=block[8] if phase_by_viewfinder else 0,
    )


def _viewfinder(number: int) -> CameraFocus:
    if number == 0:
        return NOT_NAMED
    if number != _CENTRE_NUMBER:
        return _IN_THE_GRID
    return found([_CENTRE], _SENSOR)


def _first_generation(exif: Exif) -> CameraFocus | None:
    used = exif.words("Exif.NikonAf.AFPointsInFocus")
    if not used:
        return None
    # DSLRs wrote this block large end first in every file, compacts small end first; the reader
    # takes the file's own order for both.
    dslr = (exif.text("Exif.Image.Model") or "").upper().startswith("NIKON D")
    mask = used[0] if exif.big_endian == dslr else used[0] >> 8 | (used[0] & 0xFF) << 8
    # Bit 0 is the centre; alone it is a place, the others are names.
    if mask == 1:
        return found([_CENTRE], _SENSOR, in_focus=True)
    return _IN_THE_GRID if mask else NOT_NAMED
