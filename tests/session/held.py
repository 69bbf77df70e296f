"""Judging that can be held up before or after the file is read, as if it were slow."""

from __future__ import annotations

import ctypes
import time
from collections.abc import Callable
from typing import Any

import tether.session.workers
from tests.session.made import until

_OPEN, _BEFORE, _AFTER = range(3)


class Gate:
    """Every frame passes it while it is judged; two numbers, that may lie in shared memory."""

    def __init__(
        self, place: ctypes.c_int | None = None, count: ctypes.c_int | None = None
    ) -> None:
        self.place = ctypes.c_int() if place is None else place
        self.count = ctypes.c_int() if count is None else count

    def hold(self, *, read: bool = False) -> None:
        """Hold frames from here on, before their file is read or once it has been."""
        self.place.value = _AFTER if read else _BEFORE

    def open(self) -> None:
        """Let all of them go."""
        self.place.value = _OPEN

    @property
    def held(self) -> bool:
        """Whether frames are being held."""
        return self.place.value != _OPEN

    def until_begun(self, count: int) -> None:
        """Wait until so many frames have been begun with, since the gate was made."""
        until(lambda: self.count.value >= count)

    def passing(self, judge: Callable[..., Any]) -> Callable[..., Any]:
        """The same function, with the gate in it."""

        def held(*told: object, **more: object) -> object:
            self.count.value += 1
            self._wait_at(_BEFORE)
            found = judge(*told, **more)
            self._wait_at(_AFTER)
            return found

        return held

    def put_in(self) -> Callable[[], None]:
        """Have this process's watch judge through the gate; returns what takes it out again."""
        names = vars(tether.session.workers)
        before = names["judge"]
        names["judge"] = self.passing(before)
        return lambda: names.update(judge=before)

    def _wait_at(self, place: int) -> None:
        while self.place.value == place:
            time.sleep(0.002)
