"""Frames that wait to be judged: the newest first, since its subject is still there."""

from __future__ import annotations

import threading
from pathlib import Path

from tether.judge import Asked


class Backlog:
    """A stack that threads may share; a file asked for again while it waits is judged once."""

    def __init__(self) -> None:
        self._waiting: dict[Path, Asked] = {}
        self._changed = threading.Condition()
        self._closed = False

    def put(self, asked: Asked) -> None:
        """Lay a frame on top."""
        with self._changed:
            self._waiting.pop(asked.path, None)
            self._waiting[asked.path] = asked
            self._changed.notify()

    def take(self) -> Asked | None:
        """Wait for a frame and take the newest; None once closed."""
        with self._changed:
            while not self._waiting and not self._closed:
                self._changed.wait()
            return None if self._closed else self._waiting.popitem()[1]

    def withdraw(self, path: Path) -> Asked | None:
        """Take this file's frame out, if it still waits."""
        with self._changed:
            return self._waiting.pop(path, None)

    def close(self) -> None:
        """Let every taker go; what still waits is judged when the watch starts again."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def __len__(self) -> int:
        with self._changed:
            return len(self._waiting)
