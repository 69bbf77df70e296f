"""Files with the build of pictures, quickly made, of any size."""

from __future__ import annotations

import struct
import zlib

THUMBNAIL = b"\xff\xd8\xff\xda\x00\x02thumb\xff\xd9"


def jpeg(size: int = 40_000, fill: bytes = b"\x55") -> bytes:
    """Return bytes with a JPEG's segments, a thumbnail in its Exif segment, and its end."""
    exif = b"Exif\x00\x00" + THUMBNAIL
    head = b"\xff\xd8\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif
    head += b"\xff\xdb" + struct.pack(">H", 67) + bytes(65)
    head += b"\xff\xda" + struct.pack(">H", 8) + bytes(6)
    return head + fill * (size - len(head) - 2) + b"\xff\xd9"


def png(size: int = 20_000) -> bytes:
    """Return bytes with a PNG's chunks."""
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IDAT", bytes(size)) + _chunk(b"IEND", b"")


def tiff(size: int = 20_000) -> bytes:
    """Return bytes that begin as a TIFF does."""
    return b"II*\x00" + bytes(size)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
