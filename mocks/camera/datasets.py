"""Datasets of ISO 15740 as bytes: little-endian, strings with a count before them."""

from __future__ import annotations

import struct
from collections.abc import Iterable
from datetime import datetime

from mocks.camera.card import Thing
from mocks.camera.codes import STORE, Event, Format, Operation


def string(text: str) -> bytes:
    """Return a PTP string: the count of characters with the NUL, then UTF-16."""
    if not text:
        return b"\0"
    coded = (text + "\0").encode("utf-16-le")
    return bytes([len(coded) // 2]) + coded


def array(code: str, values: Iterable[int]) -> bytes:
    """Return a PTP array of `struct` code "H" or "I"."""
    values = list(values)
    return struct.pack(f"<I{len(values)}{code}", len(values), *values)


def device_info(
    model: str, serial: str, operations: Iterable[Operation], properties: Iterable[int] = ()
) -> bytes:
    """Return the DeviceInfo dataset of a camera without a vendor's extension."""
    return (
        struct.pack("<HIH", 100, 0, 0)
        + string("")
        + struct.pack("<H", 0)
        + array("H", operations)
        + array("H", Event)
        + array("H", properties)
        + array("H", [Format.JPEG])
        + array("H", [Format.JPEG, Format.TIFF, Format.DNG, Format.MOV, Format.ASSOCIATION])
        + string("Kiln Street")
        + string(model)
        + string("1.0")
        + string(serial)
    )


def storage_info(free: int) -> bytes:
    """Return the StorageInfo dataset of a removable card in the camera's file layout."""
    capacity = 64 << 30
    return (
        struct.pack("<HHHQQI", 4, 3, 0, capacity, free, min(free // 12_000_000, 0xFFFF))
        + string("card")
        + string("")
    )


def object_info(thing: Thing) -> bytes:
    """Return the ObjectInfo dataset."""
    folder = thing.format is Format.ASSOCIATION
    thumbnail = 0 if folder else Format.JPEG
    return (
        struct.pack("<IHHI", STORE, thing.format, 0, thing.announced & 0xFFFFFFFF)
        + struct.pack("<HIIIIII", thumbnail, 0, 0, 0, 0, 0, 24)
        + struct.pack("<IHII", thing.parent, 1 if folder else 0, 0, thing.handle)
        + string(thing.name)
        + string(when(thing.taken))
        + string(when(thing.taken))
        + string("")
    )


def when(moment: datetime) -> str:
    """Return PTP's DateTime string."""
    return f"{moment:%Y%m%dT%H%M%S}"
