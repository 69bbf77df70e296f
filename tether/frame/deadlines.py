"""Steps that may take so long. One thread for all: to start one for each takes milliseconds."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Deadlines:
    """Does something else where a step is not over in time; any thread may use it."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._due: dict[object, tuple[float, Callable[[], None]]] = {}
        self._next = float("inf")
        self._thread: threading.Thread | None = None

    @contextmanager
    def within(self, seconds: float, late: Callable[[], None]) -> Iterator[None]:
        """Call `late`, in another thread, if what is done meanwhile takes longer than so many s."""
        key, due = object(), time.monotonic() + seconds
        with self._changed:
            self._due[key] = due, late
            if self._thread is None or not self._thread.is_alive():
                self._thread = threading.Thread(target=self._wait, name="deadlines", daemon=True)
                self._thread.start()
            elif due < self._next:
                self._changed.notify()
        try:
            yield
        finally:
            with self._changed:
                self._due.pop(key, None)

    def _wait(self) -> None:
        with self._changed:
            while True:
                now = time.monotonic()
                for key, (due, late) in list(self._due.items()):
                    if due <= now:
                        del self._due[key]
                        late()
                self._next = min((due for due, _ in self._due.values()), default=float("inf"))
                ahead = self._next - now
                self._changed.wait(None if ahead == float("inf") else max(ahead, 0.0))


DEADLINES = Deadlines()
"""For all of the program."""
