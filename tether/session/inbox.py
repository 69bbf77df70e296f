"""What the watch's own thread is to deal with, in order; what was there before waits behind."""

from __future__ import annotations

import threading
from collections import deque
from typing import Generic, TypeVar

from tether.arrivals.source import Whole

T = TypeVar("T")


class Inbox(Generic[T]):
    """A queue that many threads fill and one empties.

    Files that a folder held before anybody looked may be tens of thousands: whatever happens
    meanwhile is dealt with before them.
    """

    def __init__(self) -> None:
        self._items: deque[T] = deque()
        self._swept: deque[T] = deque()
        self._filled = threading.Condition()

    def put(self, item: T) -> None:
        """Add an item."""
        with self._filled:
            behind = isinstance(item, Whole) and item.swept
            (self._swept if behind else self._items).append(item)
            self._filled.notify()

    def take(self, wait_s: float) -> T | None:
        """Take the next item, waiting so long for one; None if there is none."""
        with self._filled:
            if not self._items and not self._swept:
                self._filled.wait(wait_s)
            queue = self._items or self._swept
            return queue.popleft() if queue else None

    def rest(self) -> list[T]:
        """Take all items at once."""
        with self._filled:
            items = [*self._items, *self._swept]
            self._items.clear()
            self._swept.clear()
            return items
