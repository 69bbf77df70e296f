"""A picture with a real camera's Exif and maker notes, byte for byte, as the camera wrote them."""

from __future__ import annotations

_EXIF = b"Exif\0\0"
_APP1 = b"\xff\xe1"
# An .exv file (exiv2's own) holds a JPEG's segments behind its mark, without the picture.
_EXV = b"\xff\x01Exiv2"


def spliced(jpeg: bytes, source: bytes) -> bytes:
    """The picture of one JPEG with the Exif segment of another, or of an .exv file.

    Raises
    ------
    ValueError
        The source has no Exif segment.
    """
    return jpeg[:2] + exif_segment(source) + jpeg[2:]


def exif_segment(source: bytes) -> bytes:
    """The first Exif segment of a JPEG or .exv file, with its marker."""
    place = len(_EXV) if source.startswith(_EXV) else 2
    while source[place : place + 1] == b"\xff" and place + 4 <= len(source):
        length = int.from_bytes(source[place + 2 : place + 4], "big") + 2
        segment = source[place : place + length]
        if segment.startswith(_APP1) and segment[4:10] == _EXIF:
            return segment
        place += length
    raise ValueError("no Exif segment")
