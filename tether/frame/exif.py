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
        """All numbers of a tag; none where it is missing or is text."""
        found: tuple[float, ...] = self._value(key, _numbers)
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

    def ratio(self, key: str) -> tuple[int, int] | None:
        """Numerator and denominator of a tag's first unsigned fraction, whatever they are."""
        # The library hands them out as signed.
        found: tuple[int, int] = self._value(
            key, lambda value: tuple(one & 0xFFFFFFFF for one in value.toRational(0))
        )
        return found or None

    def text(self, key: str) -> str | None:
        """A tag as text, without padding."""
        found: str = self._value(key, str) or ""
        return found.replace("\0", "").strip() or None

    def meaning(self, key: str) -> str | None:
        """What a tag's number stands for in the reader's own tables, in words."""
        found: str = self._datum(key, lambda datum: datum.print(self._data)) or ""
        return found.replace("\0", "").strip() or None

    def _value(self, key: str, how: Callable[[Any], Any]) -> Any:
        return self._datum(key, lambda datum: how(datum.value()))

    def _datum(self, key: str, how: Callable[[Any], Any]) -> Any:
        try:
            place = self._data.findKey(exiv2.ExifKey(key))
            return () if place == self._data.end() else how(place)
        except Exception as problem:  # the binding raises its own and built-in kinds
            _log.info("%s not read: %s", key, problem)
            return ()


def _numbers(value: Any) -> tuple[float, ...]:
    # The library would hand out the codes of a text's characters.
    if value.typeId() in {exiv2.TypeId.asciiString, exiv2.TypeId.comment}:
        return ()
    return tuple(value.toFloat(i) for i in range(value.count()))


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
