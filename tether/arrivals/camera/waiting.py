"""Files that the camera holds and that are not here yet, in the order they are fetched in."""

from __future__ import annotations

from collections import deque
from pathlib import PurePosixPath

from tether.arrivals.camera.messages import OnCard
from tether.frame.kinds import is_raw


class Waiting:
    """First in, first out; but whatever can be judged comes before the raws, which can wait.

    A pair's JPEG is on the screen before its raw begins.
    """

    def __init__(self) -> None:
        self._first: deque[OnCard] = deque()
        self._later: deque[OnCard] = deque()
        self._known: set[OnCard] = set()

    def add(self, file: OnCard) -> None:
        """Put a file in line, unless it waits there already."""
        if file not in self._known:
            self._known.add(file)
            (self._later if is_raw(PurePosixPath(file.name)) else self._first).append(file)

    def take(self) -> OnCard | None:
        """Take the next one out."""
        line = self._first or self._later
        if not line:
            return None
        file = line.popleft()
        self._known.discard(file)
        return file

    def put_back(self, file: OnCard) -> None:
        """Put a file that was taken out where it was: before all others of its kind."""
        self._known.add(file)
        (self._later if is_raw(PurePosixPath(file.name)) else self._first).appendleft(file)

    def clear(self) -> None:
        """Forget all: the camera will be looked through anew."""
        self._first.clear()
        self._later.clear()
        self._known.clear()

    def __len__(self) -> int:
        return len(self._known)
