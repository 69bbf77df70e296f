"""Events that do what a test needs: nothing, failing, or telling of another place."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

from tether.arrivals.events import Event
from tether.arrivals.native import NativeEvents


class NoEvents:
    """Begins, lives, and tells nothing, as on a network share."""

    def start(self, folder: Path, tell: Callable[[Event], None]) -> None:
        pass

    def stop(self) -> None:
        pass

    def alive(self) -> bool:
        return True


class LimitReached(NoEvents):
    """Cannot begin: the system gives no more watches."""

    def start(self, folder: Path, tell: Callable[[Event], None]) -> None:
        raise OSError(errno.ENOSPC, "inotify watch limit reached")


class Recorded(NativeEvents):
    """The real events, and a list of all that were made."""

    made: list[Recorded]

    def __init__(self) -> None:
        super().__init__()
        self.made.append(self)


def recorded() -> type[Recorded]:
    """Return a fresh class of recorded events."""
    return type("RecordedHere", (Recorded,), {"made": []})
