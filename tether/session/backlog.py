"""Frames that wait: for their verdict, the newest first, since its subject is still there.

And, behind all of those, soft frames that have their verdict but whose rest nobody has looked at.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from pathlib import Path

from tether.frame.anchor import Anchor
from tether.judge import Asked


@dataclass(frozen=True, slots=True)
class Later:
    """A frame whose rest is to be looked at, if its file still has this digest.

    `anchor` is the fixed area that it was judged with; the one of now where `anew`.
    It holds no pixels: of a whole flood of soft frames they would fill the memory, and a file is
    read again in less time than a photographer notices.
    """

    asked: Asked
    digest: bytes | None
    anchor: Anchor | None = None
    anew: bool = True


class Backlog:
    """A stack that threads may share; a file asked for again while it waits is judged once."""

    def __init__(self) -> None:
        self._waiting: dict[Path, Asked] = {}
        self._later: dict[Path, Later] = {}
        self._changed = threading.Condition()
        self._closed = False

    def put(self, asked: Asked) -> None:
        """Lay a frame on top."""
        with self._changed:
            self._waiting.pop(asked.path, None)
            self._waiting[asked.path] = asked
            self._changed.notify()

    def put_later(self, later: Later) -> None:
        """Lay a frame on top of those whose rest waits to be looked at."""
        with self._changed:
            self._later.pop(later.asked.path, None)
            self._later[later.asked.path] = later
            self._changed.notify()

    def take(self) -> Asked | Later | None:
        """Wait for a frame and take the newest, its verdict before any rest; None once closed."""
        with self._changed:
            while not self._waiting and not self._later and not self._closed:
                self._changed.wait()
            if self._closed:
                return None
            return (self._waiting or self._later).popitem()[1]

    def withdraw(self, path: Path) -> Asked | None:
        """Take this file's frame out, if it still waits for its verdict."""
        with self._changed:
            return self._waiting.pop(path, None)

    @property
    def pressing(self) -> bool:
        """Whether a frame waits for its verdict and there is time to judge it."""
        with self._changed:
            return bool(self._waiting) and not self._closed

    def close(self) -> None:
        """Let every taker go; what still waits is judged when the watch starts again."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def __len__(self) -> int:
        with self._changed:
            return len(self._waiting)
