"""Look-ups in a picture's Exif and maker notes, that answer nothing rather than raise."""

from __future__ import annotations

import logging
import math
import struct
from collections.abc import Callable
from typing import Any

import exiv2

_log = logging.getLogger(__name__)


class Exif:
    """Typed look-ups that answer None for a tag that is missing or makes no sense."""

    def __init__(self, data: Any) -> None:
        self._data = data

    def numbers(self, key: str) -> tuple[float, ...]:
        """All numbers of a tag; none where it is missing."""
        found: tuple[float, ...] = self._value(
            key, lambda value: tuple(value.toFloat(i) for i in range(value.count()))
        )
        return found

    def number(self, key: str) -> float | None:
        """The first number of a tag, if it is finite and above 0."""
        found = self.numbers(key)
        good = len(found) >= 1 and math.isfinite(found[0]) and found[0] > 0
        return found[0] if good else None

    def whole(self, key: str) -> int | None:
        """The same, rounded."""
        found = self.number(key)
        return round(found) if found is not None else None

    def raw(self, key: str) -> bytes:
        """A block of bytes, as it stands in the file; none where it is missing or is no such."""
        return self._value(key, _block) or b""

    def words(self, key: str) -> tuple[int, ...]:
        """All unsigned 16-bit words of a tag; those of a block, in the maker note's byte order."""
        # One look-up: the library goes through all keys for each.
        held = self._value(key, lambda value: _block(value) or tuple(int(one) for one in value))
        if isinstance(held, bytes):
            return words(held, big_endian=self.big_endian)
        return tuple(one & 0xFFFF for one in held)

    def integers(self, key: str) -> tuple[int, ...]:
        """All integers of a tag, every digit of them; none of a tag with other numbers."""
        found: tuple[int, ...] = self._value(key, lambda value: tuple(int(one) for one in value))
        return found

    @property
    def big_endian(self) -> bool:
        """Whether the maker note's numbers begin with their large end."""
        return self.text("Exif.MakerNote.ByteOrder") == "MM"

    def text(self, key: str) -> str | None:
        """A tag as text, without padding."""
        found: str = self._value(key, str) or ""
        return found.replace("\0", "").strip() or None

    def _value(self, key: str, how: Callable[[Any], Any]) -> Any:
        try:
            place = self._data.findKey(exiv2.ExifKey(key))
            return () if place == self._data.end() else how(place.value())
        except Exception as problem:  # as above
            _log.info("%s not read: %s", key, problem)
            return ()


def _block(value: Any) -> bytes:
    return bytes(value.data()) if hasattr(value, "data") else b""


def words(block: bytes, *, big_endian: bool) -> tuple[int, ...]:
    """A block of bytes as unsigned 16-bit words; an odd byte at its end is left out."""
    return struct.unpack(
        f"{'>' if big_endian else '<'}{len(block) // 2}H", block[: len(block) & ~1]
    )


def signed(word: int) -> int:
    """An unsigned 16-bit word as the signed one of the same bits."""
    return word - 0x10000 if word >= 0x8000 else word
