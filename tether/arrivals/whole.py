"""Whether a picture file is whole, told by its end mark and by what it was at the last look."""

from __future__ import annotations

import os
import stat
from enum import StrEnum
from typing import BinaryIO

from tether.frame.file import FileIdentity, identity
from tether.frame.kinds import JPEG, PNG, suffix_of

TAIL = 64 * 1024
"""How many bytes before the end of a file are searched for its end mark."""

_END_OF_IMAGE = b"\xff\xd9"
_START_OF_IMAGE = b"\xff\xd8"
_PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_PNG_END = b"IEND\xae\x42\x60\x82"
_START_OF_SCAN = 0xDA
_WITHOUT_LENGTH = frozenset({0x01, *range(0xD0, 0xD9)})
_MOST_SEGMENTS = 2000


class EndMark(StrEnum):
    """Where a file's end mark stands."""

    AT_END = "at the very end"
    NEAR_END = "near the end"
    MISSING = "missing"
    UNKNOWN = "the format has none that is known here"


def look_at(path: str) -> FileIdentity | None:
    """Look at a file without opening it.

    Parameters
    ----------
    path
        The file; a symbolic link is followed.

    Returns
    -------
    FileIdentity or None
        What was seen, or None where there is no regular file. The inode is 0 for a symbolic link.
    """
    try:
        seen = os.lstat(path)
        linked = stat.S_ISLNK(seen.st_mode)
        if linked:
            seen = os.stat(path)  # noqa: PTH116
    except (OSError, ValueError):
        return None
    if not stat.S_ISREG(seen.st_mode):
        return None
    return identity(seen, linked=linked)


def end_mark(path: str) -> EndMark:
    """Find the end mark of a picture file; never waits for a pipe or a device.

    Parameters
    ----------
    path
        The file. Its suffix says whether an end mark is to be expected, its first bytes which.

    Returns
    -------
    EndMark
        `MISSING` also where the file is empty, cannot be read or is no picture at all.
    """
    expected = suffix_of(path) in JPEG | PNG
    try:
        with open(path, "rb", buffering=0, opener=_open_at_once) as file:
            seen = os.fstat(file.fileno())
            if not stat.S_ISREG(seen.st_mode) or seen.st_size == 0:
                return EndMark.MISSING
            if not expected:
                return EndMark.UNKNOWN
            head = file.read(len(_PNG_SIGNATURE))
            if head.startswith(_START_OF_IMAGE):
                start = _first_scan(file, seen.st_size)
                return _search(file, _END_OF_IMAGE, start, seen.st_size)
            if head == _PNG_SIGNATURE:
                return _search(file, _PNG_END, len(head), seen.st_size)
    except (OSError, ValueError):
        pass
    return EndMark.MISSING


def _open_at_once(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def _first_scan(file: BinaryIO, size: int) -> int | None:
    """Return where a JPEG's first scan begins, or None where the file does not reach it.

    An end of image before that belongs to the thumbnail inside the Exif segment.
    """
    at = len(_START_OF_IMAGE)
    for _ in range(_MOST_SEGMENTS):
        file.seek(at)
        segment = file.read(4)
        if at >= size or len(segment) < 4 or segment[0] != 0xFF:
            return None
        marker, length = segment[1], int.from_bytes(segment[2:4], "big")
        if marker == 0xFF:
            at += 1
        elif marker in _WITHOUT_LENGTH:
            at += 2
        elif length < 2:
            return None
        elif marker == _START_OF_SCAN:
            return at + 2 + length
        else:
            at += 2 + length
    return None


def _search(file: BinaryIO, mark: bytes, start: int | None, size: int) -> EndMark:
    if start is None or start > size:
        return EndMark.MISSING
    begin = max(start, size - TAIL)
    file.seek(begin)
    tail = file.read(size - begin)
    at = tail.rfind(mark)
    if at < 0:
        return EndMark.MISSING
    return EndMark.AT_END if at + len(mark) == len(tail) else EndMark.NEAR_END
