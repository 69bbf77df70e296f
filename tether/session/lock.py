"""One watch a folder: a lock that the system lets go when its holder dies, however it dies."""

from __future__ import annotations

import time
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from tether.session import schema

try:
    import fcntl
except ImportError:  # Windows has no flock: there nobody is kept from a second watch
    fcntl = None  # type: ignore[assignment]


class AlreadyWatched(Exception):
    """Another watch holds the folder."""


class Lock:
    """Held for as long as a watch runs on `folder`; `taken` unless nothing can be written there."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.taken = False
        self._file: IO[bytes] | None = None

    def __enter__(self) -> Self:
        path = self.folder / schema.LOCK_NAME
        try:
            self._file = path.open("ab")
        except OSError:
            return self  # nothing can be written here: the record will say so
        # A screen that asks whether the lock is held takes it for an instant: try for longer.
        deadline = time.monotonic() + 1.0
        while not _taken(self._file, exclusive=True):
            if time.monotonic() > deadline:
                self._file.close()
                raise AlreadyWatched(f"{self.folder} is watched already: stop that watch first")
            time.sleep(0.02)
        self.taken = True
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._file is not None:
            self._file.close()


def held(folder: Path) -> bool:
    """Whether some watch holds the folder's lock now."""
    try:
        with (folder / schema.LOCK_NAME).open("rb") as file:
            return not _taken(file, exclusive=False)
    except OSError:
        return False


def _taken(file: IO[bytes], *, exclusive: bool) -> bool:
    if fcntl is None:
        return True
    try:
        fcntl.flock(file, (fcntl.LOCK_EX if exclusive else fcntl.LOCK_SH) | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True  # a network share without locks: go on unlocked
    return True
