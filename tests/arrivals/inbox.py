"""What a source delivered, and ways to wait for it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from tether.arrivals.folder import FolderSource
from tether.arrivals.source import Arrival, Vanished, Watching, Whole

DEADLINE = 10.0


def wait_for(condition: Callable[[], bool], seconds: float = DEADLINE) -> bool:
    """Wait until the condition holds; return whether it does."""
    end = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > end:
            return False
        time.sleep(0.005)
    return True


class Inbox:
    """Collects what is delivered, from whatever thread."""

    def __init__(self) -> None:
        self._all: list[Arrival] = []
        self._lock = threading.Lock()

    def __call__(self, arrival: Arrival) -> None:
        with self._lock:
            self._all.append(arrival)

    @property
    def all(self) -> Sequence[Arrival]:
        with self._lock:
            return tuple(self._all)

    @property
    def wholes(self) -> list[Whole]:
        return [arrival for arrival in self.all if isinstance(arrival, Whole)]

    @property
    def paths(self) -> list[Path]:
        return [whole.path for whole in self.wholes]

    @property
    def vanished(self) -> list[Path]:
        return [arrival.path for arrival in self.all if isinstance(arrival, Vanished)]

    @property
    def lines(self) -> list[Watching]:
        return [arrival for arrival in self.all if isinstance(arrival, Watching)]

    def until(self, *paths: Path, seconds: float = DEADLINE) -> None:
        """Wait until each of the paths was delivered."""
        wanted = set(paths)
        assert wait_for(lambda: wanted <= set(self.paths), seconds), (
            f"never delivered: {sorted(wanted - set(self.paths))}"
        )


def at_rest(source: FolderSource, seconds: float = DEADLINE) -> None:
    """Wait until two more sweeps were heard and nothing waits any more."""
    before = source.sweeps
    assert wait_for(lambda: source.sweeps >= before + 2 and not source.waiting, seconds)
