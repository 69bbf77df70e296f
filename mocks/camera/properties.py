"""Device properties of ISO 15740 (clause 13): their codes, their coding, and what they hold now."""

from __future__ import annotations

import struct
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import IntEnum

from mocks.camera.codes import Property
from mocks.camera.datasets import string, when

Value = int | str


class FocusMode(IntEnum):
    """Values of `FOCUS_MODE`."""

    MANUAL = 1
    AUTOMATIC = 2
    AUTOMATIC_MACRO = 3


class FocusMetering(IntEnum):
    """Values of `FOCUS_METERING_MODE`."""

    CENTRE_SPOT = 1
    MULTI_SPOT = 2


@dataclass(frozen=True, slots=True)
class _Kind:
    """How a property is coded: the standard's number of the type, and `struct`'s letter."""

    code: int
    letter: str

    def packed(self, value: Value) -> bytes:
        return string(value) if isinstance(value, str) else struct.pack(f"<{self.letter}", value)


_UINT8, _UINT16, _UINT32, _STRING = _Kind(2, "B"), _Kind(4, "H"), _Kind(6, "I"), _Kind(0xFFFF, "")
_RANGE, _ENUMERATION = 1, 2
_SETTABLE = 1


def shutter(seconds: float) -> int:
    """`EXPOSURE_TIME`: ten-thousandths of a second."""
    return round(10_000 * seconds)


def hundredths(value: float) -> int:
    """`F_NUMBER`; and `FOCAL_LENGTH` in mm."""
    return round(100 * value)


_FORMS: Mapping[Property, tuple[_Kind, tuple[int, int, int] | tuple[int, ...] | None]] = {
    Property.BATTERY_LEVEL: (_UINT8, (0, 100, 1)),
    Property.COMPRESSION_SETTING: (_UINT8, (0, 1, 2)),
    Property.F_NUMBER: (_UINT16, tuple(map(hundredths, (1.8, 2, 2.8, 4, 5.6, 8, 11, 16)))),
    Property.FOCAL_LENGTH: (_UINT32, (hundredths(24), hundredths(200), 1)),
    Property.FOCUS_DISTANCE: (_UINT16, (300, 0xFFFF, 1)),
    Property.FOCUS_MODE: (_UINT16, tuple(FocusMode)),
    Property.EXPOSURE_TIME: (
        _UINT32,
        tuple(map(shutter, (1 / 1000, 1 / 500, 1 / 250, 1 / 125, 1 / 60, 1 / 30, 1 / 15, 1))),
    ),
    Property.EXPOSURE_INDEX: (_UINT16, (100, 200, 400, 800, 1600)),
    Property.DATE_TIME: (_STRING, None),
    Property.STILL_CAPTURE_MODE: (_UINT16, (1, 2, 3)),
    Property.FOCUS_METERING_MODE: (_UINT16, tuple(FocusMetering)),
}
_RANGES = {Property.BATTERY_LEVEL, Property.FOCAL_LENGTH, Property.FOCUS_DISTANCE}


class Properties:
    """What a camera is set to; threads may share it.

    `ahead` is how far its clock is ahead of this computer's.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self.ahead = timedelta(0)
        self._now: dict[Property, Value] = {
            Property.BATTERY_LEVEL: 80,
            Property.COMPRESSION_SETTING: 1,
            Property.F_NUMBER: hundredths(4),
            Property.FOCAL_LENGTH: hundredths(85),
            Property.FOCUS_DISTANCE: 1500,
            Property.FOCUS_MODE: FocusMode.AUTOMATIC,
            Property.EXPOSURE_TIME: shutter(1 / 250),
            Property.EXPOSURE_INDEX: 200,
            Property.DATE_TIME: "",
            Property.STILL_CAPTURE_MODE: 1,
            Property.FOCUS_METERING_MODE: FocusMetering.CENTRE_SPOT,
        }

    def __getitem__(self, code: Property) -> Value:
        with self._lock:
            if code is Property.DATE_TIME and code in self._now:
                return when(datetime.now() + self.ahead)
            return self._now[code]

    def __setitem__(self, code: Property, value: Value) -> None:
        with self._lock:
            self._now[code] = value

    def __delitem__(self, code: Property) -> None:
        """Have the camera not know a property at all."""
        with self._lock:
            del self._now[code]

    def __iter__(self) -> Iterator[Property]:
        with self._lock:
            return iter(list(self._now))

    def __contains__(self, code: object) -> bool:
        with self._lock:
            return code in self._now

    def value(self, code: Property) -> bytes:
        """A property's value as GetDevicePropValue sends it."""
        return _FORMS[code][0].packed(self[code])

    def described(self, code: Property) -> bytes:
        """Return the DevicePropDesc dataset: type, whether it can be set, values, and form."""
        kind, allowed = _FORMS[code]
        now = kind.packed(self[code])
        head = struct.pack("<HHB", code, kind.code, _SETTABLE)
        if allowed is None:
            return head + now + now + b"\0"
        form = b"".join(kind.packed(one) for one in allowed)
        if code in _RANGES:
            return head + now + now + bytes([_RANGE]) + form
        return head + now + now + struct.pack("<BH", _ENUMERATION, len(allowed)) + form
