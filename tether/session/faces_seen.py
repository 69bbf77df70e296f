"""Where the last frames of each setup and camera had faces that a first look does not find."""

from __future__ import annotations

import math
import threading
from collections import defaultdict, deque
from collections.abc import Sequence

from tether.frame.faces_likely import Likely

KEPT = 8
"""Frames of one setup and camera that are looked back upon."""

_Key = tuple[int | None, str | None]


class FacesSeen:
    """Places of the last frames since the watch began; any thread may ask and add."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._places: defaultdict[_Key, deque[tuple[Likely, ...]]] = defaultdict(
            lambda: deque(maxlen=KEPT)
        )

    def add(self, setup: int | None, camera: str | None, places: Sequence[Likely]) -> None:
        """Remember a frame that was looked through; one without such faces ages what is known."""
        with self._lock:
            self._places[setup, camera].append(tuple(places))

    def likely(self, setup: int | None, camera: str | None) -> tuple[Likely, ...]:
        """Where the next frame may have faces: those of the newest first, each place once."""
        with self._lock:
            every = list(self._places.get((setup, camera), ()))
        found: list[Likely] = []
        for places in reversed(every):
            found += [one for one in places if not any(_same(one, other) for other in found)]
        return tuple(found)


def _same(one: Likely, other: Likely) -> bool:
    """Whether two places are one: looking at either shows what lies at both."""
    away = math.hypot(one.x - other.x, one.y - other.y)
    return away < max(one.side, other.side) / 2
