"""Reads the record for every screen, in one thread: a share that hangs must not hold up a page."""

from __future__ import annotations

import time
from collections.abc import Callable
from threading import Event, Thread

from tether.second_screen.state import State, States

TICK_S = 0.025
WATCHED_S = 1.0


class Polling(Thread):
    """Hands every change to `publish`, in this thread, until told to end.

    `beat` is when it last began to read (monotonic, s).
    """

    def __init__(self, states: States, publish: Callable[[State], object]) -> None:
        super().__init__(name="second-screen-polling", daemon=True)
        self.beat = time.monotonic()
        self._states, self._publish = states, publish
        self._ended = Event()

    def end(self) -> None:
        """Stop soon."""
        self._ended.set()

    def run(self) -> None:
        """Poll."""
        watched = time.monotonic()
        while not self._ended.is_set():
            self.beat = time.monotonic()
            if time.monotonic() >= watched:
                self._states.watched()
                watched = time.monotonic() + WATCHED_S
            found = self._states.changed()
            if found is not None:
                self._publish(found)
            self._ended.wait(TICK_S)
        self._states.close()
