"""The luma of a JPEG whose coded data is as it was written, as far as that can be told.

A JPEG has no checksum. Where a byte of it is another, its decoder may meet a code that is none, or
be done too early or too late: that is damage. Of two in three such bytes it takes no notice: they
make other pixels in a block or two, or another brightness from there on: a JPEG as sound as any.
"""

from __future__ import annotations

import logging
import re

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from tether.frame.file import Unreadable

_log = logging.getLogger(__name__)

_TOO_MANY = re.compile(r"Corrupt JPEG data: (\d+) extraneous bytes before marker 0xd9")
# A marker that ends a scan (ITU-T T.81, B.1.1.2): no stuffed byte, restart or fill.
_ENDS_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_EOI = 0xD9


def size(data: bytes | bytearray) -> tuple[int, int]:
    """Width and height, px, as the head tells them.

    Raises
    ------
    Unreadable
        It does not.
    """
    try:
        height, width = simplejpeg.decode_jpeg_header(data)[:2]
    except ValueError as problem:
        _log.info("no JPEG: %s", problem)
        raise Unreadable(
            "not a JPEG that can be read: its head is damaged, or of a rare kind"
        ) from problem
    return width, height


def luma(data: bytes | bytearray) -> NDArray[np.uint8]:
    """Decode a JPEG to its luma, shape (height, width).

    Raises
    ------
    Unreadable
        It is damaged or cut short.
    """
    try:
        decoded = simplejpeg.decode_jpeg(data, colorspace="GRAY", strict=True)
    except ValueError as problem:
        said = str(problem)
        if "Premature end" in said:
            raise Unreadable("the JPEG ends too early: it is cut short") from problem
        too_many = _TOO_MANY.search(said)
        if too_many is None or not _is_padding(data, int(too_many[1])):
            raise Unreadable(f"the JPEG is damaged: {said.strip().splitlines()[0]}") from problem
        # All pixels came before the stray bytes: some cameras write padding ahead of the end.
        decoded = simplejpeg.decode_jpeg(data, colorspace="GRAY", strict=False)
    return np.asarray(decoded[..., 0])


def _is_padding(data: bytes | bytearray, count: int) -> bool:
    """Whether so many bytes before the end mark are all the same; what damage leaves differs."""
    end = _end(data)
    return len(set(data[max(end - count, 0) : end])) == 1


def _end(data: bytes | bytearray) -> int:
    """Where the end mark of the first picture stands."""
    at = 2
    while found := _ENDS_SCAN.search(data, at):
        at, marker = found.start(), data[found.start() + 1]
        if marker == _EOI:
            return at
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return len(data)
