"""A maker note that the metadata reader does not decode: one directory of TIFF entries in bytes."""

from __future__ import annotations

import struct
from dataclasses import dataclass

# Bytes of one value by its TIFF type (TIFF 6.0, section 2).
_BYTES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
_ENTRY = 12
_MOST_ENTRIES = 512


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: its TIFF type, number of values, and the four bytes that hold them or point."""

    kind: int
    count: int
    held: bytes

    @property
    def size(self) -> int:
        """Bytes of all its values."""
        return _BYTES.get(self.kind, 0) * self.count


class NoteIfd:
    """The entries of a directory that begins at `start` of a block; none if it does not fit."""

    def __init__(self, block: bytes, start: int, *, big_endian: bool) -> None:
        self._block = block
        self._order = ">" if big_endian else "<"
        self.entries: dict[int, Entry] = {}
        self.end = start + 2
        if len(block) < self.end:
            return
        (count,) = struct.unpack_from(f"{self._order}H", block, start)
        if count > _MOST_ENTRIES or len(block) < self.end + count * _ENTRY:
            return
        for place in range(self.end, self.end + count * _ENTRY, _ENTRY):
            tag, kind, values = struct.unpack_from(f"{self._order}HHL", block, place)
            held = block[place + 8 : place + _ENTRY]
            self.entries.setdefault(tag, Entry(kind, values, held))
        self.end += count * _ENTRY

    def words(self, tag: int) -> tuple[int, ...]:
        """The one or two 16-bit words that an entry holds itself."""
        entry = self.entries.get(tag)
        if entry is None or entry.kind not in {3, 8} or not 1 <= entry.count <= 2:
            return ()
        return struct.unpack(f"{self._order}2H", entry.held)[: entry.count]

    def block(self, tag: int) -> bytes:
        """Bytes of an entry that points to them, where offsets count from the note's beginning."""
        entry = self.entries.get(tag)
        if entry is None or entry.size <= 4:
            return b""
        place = self._offset(entry)
        return self._block[place : place + entry.size]

    def longs(self, tag: int, lowest_at: int) -> tuple[int, ...]:
        """Unsigned 32-bit numbers of an entry that points to them (rationals: two each).

        Offsets count from a place outside the note; `lowest_at` is where, in the block, the values
        lie that the lowest of all offsets points to.
        """
        entry = self.entries.get(tag)
        if entry is None or entry.kind not in {4, 5, 9, 10} or not 4 < entry.size <= 64:
            return ()
        place = lowest_at + self._offset(entry) - self._lowest()
        count = entry.size // 4
        if place < 0 or place + 4 * count > len(self._block):
            return ()
        return struct.unpack_from(f"{self._order}{count}L", self._block, place)

    def _offset(self, entry: Entry) -> int:
        (offset,) = struct.unpack(f"{self._order}L", entry.held)
        return int(offset)

    def _lowest(self) -> int:
        return min(self._offset(one) for one in self.entries.values() if one.size > 4)
