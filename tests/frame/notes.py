"""Maker notes made by hand, in a picture of their own: for kinds of which no sample is at hand."""

from __future__ import annotations

import struct
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tests.pictures import grey, jpeg

ASCII, SHORT, LONG, RATIONAL, UNDEFINED = 2, 3, 4, 5, 7
_FORMAT = {SHORT: "H", LONG: "L", RATIONAL: "L"}


@dataclass(frozen=True, slots=True)
class Tag:
    """One TIFF entry: its number, its type, and its value."""

    number: int
    kind: int
    value: bytes | Sequence[int]

    def held(self, order: str) -> tuple[int, bytes]:
        """How many values there are, and their bytes."""
        if isinstance(self.value, bytes):
            return len(self.value), self.value
        packed = struct.pack(f"{order}{len(self.value)}{_FORMAT[self.kind]}", *self.value)
        return len(self.value) // (2 if self.kind == RATIONAL else 1), packed


def directory(tags: Sequence[Tag], at: int, order: str = "<") -> bytes:
    """A TIFF directory that begins `at` bytes from where offsets count, its values behind it."""
    behind = b""
    entries = struct.pack(f"{order}H", len(tags))
    first = at + 2 + 12 * len(tags) + 4
    for tag in tags:
        count, held = tag.held(order)
        entries += struct.pack(f"{order}HHL", tag.number, tag.kind, count)
        if len(held) <= 4:
            entries += held.ljust(4, b"\0")
        else:
            entries += struct.pack(f"{order}L", first + len(behind))
            behind += held + b"\0" * (len(held) % 2)
    return entries + struct.pack(f"{order}L", 0) + behind


def picture(
    make: str,
    model: str,
    note: Callable[[int], bytes],
    recorded: tuple[int, int] = (6000, 4000),
    coded: bytes | None = None,
) -> bytes:
    """A JPEG whose Exif holds this maker note.

    `note` is given where it begins, in bytes from where the Exif's own offsets count.
    """

    def exif(note_at: int, inner_at: int) -> bytes:
        size = [Tag(0xA002, LONG, [recorded[0]]), Tag(0xA003, LONG, [recorded[1]])]
        inner = directory([Tag(0x927C, UNDEFINED, note(note_at)), *size], inner_at)
        names = [
            Tag(0x010F, ASCII, make.encode() + b"\0"),
            Tag(0x0110, ASCII, model.encode() + b"\0"),
        ]
        return directory([*names, Tag(0x8769, LONG, [inner_at])], 8) + inner

    # The note lies behind a directory of three entries; where that lies, the names decide.
    inner_at = 8 + len(exif(0, 0)) - len(directory([Tag(0x927C, UNDEFINED, note(0))], 0)) - 24
    block = b"Exif\0\0II*\0\x08\0\0\0" + exif(inner_at + 2 + 3 * 12 + 4, inner_at)
    whole = coded if coded is not None else jpeg(grey(8))
    return whole[:2] + b"\xff\xe1" + struct.pack(">H", len(block) + 2) + block + whole[2:]
