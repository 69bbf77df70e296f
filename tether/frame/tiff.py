"""Whether a TIFF's pixels are as they were written, as far as the way they are coded tells.

libtiff fills what is missing with zeros, goes on past most damage, and hardly says so. What its
strips or tiles are coded with decides what can be told:

- deflate ends in a checksum: any other byte is found;
- JPEG, as in `jpeg`;
- LZW, PackBits and the fax codes have no checksum. Zeros in place of a part are found, and what
  breaks a code or leaves too little. Most single bytes are not: another literal, or another code,
  makes another picture as sound as this one;
- uncompressed, every byte is a sound one.
"""

from __future__ import annotations

import io
import logging
import math
import zlib
from dataclasses import dataclass

from tether.frame import jpeg
from tether.frame.file import Unreadable

_log = logging.getLogger(__name__)

_DEFLATE, _JPEG, _PACKBITS = frozenset({8, 32946}), 7, 32773
_JPEG_END = b"\xff\xd9"
_AT_A_TIME = 1 << 16  # bytes: a thousand times that may come of it
_DAMAGED = "the TIFF is damaged: a part of its pixels is not what was written"


@dataclass(frozen=True, slots=True)
class Layout:
    """The first picture, px, and its strips or tiles: where they lie, how coded, bytes decoded."""

    width: int
    height: int
    tiled: bool
    compression: int
    places: tuple[slice, ...]
    part_bytes: int
    tables: bytes


def layout(data: bytes | bytearray) -> Layout:
    """Read how a TIFF's first picture is laid out.

    Raises
    ------
    Unreadable
        Its directory is damaged, or the file is cut short.
    """
    import tifffile

    # What is wrong is told by the frame's line; its own words would land on the screen.
    logging.getLogger("tifffile").setLevel(logging.CRITICAL)
    try:
        with tifffile.TiffFile(io.BytesIO(data)) as whole:
            page = whole.pages.first
            places = zip(page.dataoffsets, page.databytecounts, strict=True)
            found = Layout(
                int(page.imagewidth),
                int(page.imagelength),
                page.is_tiled,
                int(page.compression),
                tuple(slice(offset, offset + count) for offset, count in places),
                math.prod(page.chunks) * -(-page.bitspersample // 8),
                page.jpegtables or b"",
            )
    except Exception as problem:  # it parses what a stranger wrote, and raises what comes of it
        _log.info("no TIFF: %s", problem)
        raise Unreadable("not a TIFF that can be read: its directory is damaged") from problem
    if not found.places or max(one.stop for one in found.places) > len(data):
        raise Unreadable("the TIFF ends too early: it is cut short")
    return found


def check(data: bytes | bytearray, told: Layout) -> None:
    """Check that the picture laid out like this is what was written.

    Raises
    ------
    Unreadable
        It is damaged.
    """
    held = memoryview(data)
    for place in told.places:
        if told.compression in _DEFLATE:
            _check_deflate(held[place], told.part_bytes)
        elif told.compression == _JPEG:
            _check_jpeg(held[place], told.tables, told.part_bytes)
        elif told.compression == _PACKBITS:
            _check_packbits(held[place], told.part_bytes)


def _check_deflate(part: memoryview, most: int) -> None:
    """Inflate a part for its checksum (RFC 1950) alone: libtiff stops before it."""
    inflating, total = zlib.decompressobj(), 0
    try:
        for start in range(0, len(part), _AT_A_TIME):
            total += len(inflating.decompress(part[start : start + _AT_A_TIME]))
            if inflating.eof or total > most:
                break
    except zlib.error as problem:
        raise Unreadable(_DAMAGED) from problem
    if not inflating.eof:
        raise Unreadable(_DAMAGED)


def _check_jpeg(part: memoryview, tables: bytes, most: int) -> None:
    whole = bytes(tables.removesuffix(_JPEG_END) + part[2:] if tables else part)
    try:
        width, height = jpeg.size(whole)
    except Unreadable:
        return  # one of a rare kind, which libtiff knows or refuses
    if width * height > most:
        raise Unreadable(_DAMAGED)
    try:
        jpeg.luma(whole)
    except Unreadable as problem:
        raise Unreadable(_DAMAGED) from problem


def _check_packbits(part: memoryview, most: int) -> None:
    """Count what a part decodes to (TIFF 6.0, section 9): libtiff minds too little alone."""
    at = total = 0
    while at < len(part):
        head = part[at]
        total += head + 1 if head < 128 else 257 - head if head > 128 else 0
        at += head + 2 if head < 128 else 2 if head > 128 else 1
    # The last one may be a byte that only makes the length even.
    if total > most + 1:
        raise Unreadable(_DAMAGED)
