"""A raw file that another reader opens: an uncompressed mosaic in a DNG, with a JPEG if wanted.

The tags are those of TIFF 6.0 and of the Digital Negative Specification 1.4, chapters 2 and 4.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import simplejpeg
from numpy.typing import NDArray

BLACK, WHITE = 512, 16383
BAYER = ("RG", "GB")
X_TRANS = ("GBGGRG", "RGRBGB", "GBGGRG", "GRGGBG", "BGBRGR", "GRGGBG")

_BYTE, _ASCII, _SHORT, _LONG, _RATIONAL, _SIGNED_RATIONAL = 1, 2, 3, 4, 5, 10
_CODES = {_BYTE: "B", _ASCII: "B", _SHORT: "H", _LONG: "I", _RATIONAL: "I", _SIGNED_RATIONAL: "i"}
_MOSAIC, _JPEG_COLOURS = 32803, 6
_HEADER = 8


class Tag(NamedTuple):
    """A tag: its number, its type, its numbers."""

    number: int
    kind: int
    values: tuple[int, ...]


def mosaic(light: NDArray[np.floating], pattern: tuple[str, ...] = BAYER) -> NDArray[np.uint16]:
    """Sample linear light as a sensor under a colour filter array does.

    Parameters
    ----------
    light
        Linear light, 1 at the white level, shape (rows, columns, 3).
    pattern
        The colours of the array, a string a row.

    Returns
    -------
    ndarray
        Counts from `BLACK` on, shape (rows, columns).
    """
    rows, columns = light.shape[:2]
    tile = np.array([["RGB".index(one) for one in row] for row in pattern])
    times = (-(-rows // tile.shape[0]), -(-columns // tile.shape[1]))
    colour = np.tile(tile, times)[:rows, :columns]
    seen = np.take_along_axis(light, colour[..., np.newaxis], axis=2)[..., 0]
    counts = np.rint(BLACK + seen * (WHITE - BLACK))
    return np.asarray(np.clip(counts, 0, WHITE), np.uint16)


def dng(
    counts: NDArray[np.uint16],
    jpeg: bytes = b"",
    pattern: tuple[str, ...] = BAYER,
    orientation: int = 1,
    model: str = "Studio One",
) -> bytes:
    """Return a DNG file of counts, shape (rows, columns), with a JPEG inside it if one is given."""
    rows, columns = counts.shape
    first = [
        Tag(254, _LONG, (1 if jpeg else 0,)),
        Tag(271, _ASCII, tuple(b"Studio\0")),
        Tag(272, _ASCII, tuple(model.encode() + b"\0")),
        Tag(274, _SHORT, (orientation,)),
        Tag(50706, _BYTE, (1, 4, 0, 0)),
        Tag(50708, _ASCII, tuple(model.encode() + b"\0")),
        Tag(50721, _SIGNED_RATIONAL, (1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1)),
        Tag(50728, _RATIONAL, (1, 1, 1, 1, 1, 1)),
    ]
    sensor = [
        *_pixels(columns, rows, (16,), _MOSAIC, 1),
        Tag(33421, _SHORT, (len(pattern), len(pattern[0]))),
        Tag(33422, _BYTE, tuple("RGB".index(one) for row in pattern for one in row)),
        Tag(50714, _SHORT, (BLACK,)),
        Tag(50717, _SHORT, (WHITE,)),
    ]
    samples = counts.astype("<u2").tobytes()
    if not jpeg:
        return _file(_ifd([*first, *sensor], _HEADER, samples))
    high, wide = simplejpeg.decode_jpeg_header(jpeg)[:2]
    shown = [*first, *_pixels(wide, high, (8, 8, 8), _JPEG_COLOURS, 7)]
    # Where the second directory begins is known once the first is laid out with any number there.
    second = _HEADER + len(_ifd([*shown, Tag(330, _LONG, (0,))], _HEADER, jpeg))
    whole = _ifd([*shown, Tag(330, _LONG, (second,))], _HEADER, jpeg)
    return _file(whole + _ifd([Tag(254, _LONG, (0,)), *sensor], second, samples))


def _pixels(
    wide: int, high: int, bits: tuple[int, ...], colours: int, coding: int
) -> Iterable[Tag]:
    return [
        Tag(256, _LONG, (wide,)),
        Tag(257, _LONG, (high,)),
        Tag(258, _SHORT, bits),
        Tag(259, _SHORT, (coding,)),
        Tag(262, _SHORT, (colours,)),
        Tag(277, _SHORT, (len(bits),)),
        Tag(278, _LONG, (high,)),
        Tag(284, _SHORT, (1,)),
    ]


def _ifd(tags: list[Tag], at: int, strip: bytes) -> bytes:
    """A directory at this place of the file, what its tags hold, and its one strip."""
    tags = sorted([*tags, Tag(273, _LONG, (0,)), Tag(279, _LONG, (len(strip),))])
    blocks = {
        tag: struct.pack(f"<{len(tag.values)}{_CODES[tag.kind]}", *tag.values) for tag in tags
    }
    free = at + 2 + 12 * len(tags) + 4
    pixels = free + sum(len(block) + len(block) % 2 for block in blocks.values() if len(block) > 4)
    entries, beyond = b"", b""
    for tag, block in blocks.items():
        count = len(tag.values) // (2 if tag.kind in {_RATIONAL, _SIGNED_RATIONAL} else 1)
        held = struct.pack("<I", pixels) if tag.number == 273 else block
        if len(held) > 4:
            held = struct.pack("<I", free + len(beyond))
            beyond += block + b"\0" * (len(block) % 2)
        entries += struct.pack("<HHI", tag.number, tag.kind, count) + held.ljust(4, b"\0")
    return (
        struct.pack("<H", len(tags)) + entries + bytes(4) + beyond + strip + bytes(len(strip) % 2)
    )


def _file(directories: bytes) -> bytes:
    return struct.pack("<2sHI", b"II", 42, _HEADER) + directories
