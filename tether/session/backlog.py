"""Frames that wait for their verdict or their second look, the newest first.

Its subject is still there. What lay in the folder before anybody looked comes behind all of that.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from tether.asked import Asked
from tether.frame.anchor import Anchor


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
    """A stack that threads may share; a frame asked for again while it waits is judged once."""

    def __init__(self) -> None:
        self._new: dict[int, Asked] = {}
        self._new_later: dict[int, Later] = {}
        self._swept: dict[int, Asked] = {}
        self._swept_later: dict[int, Later] = {}
        self._in_hand = 0
        self._changed = threading.Condition()
        self._closed = False

    def put(self, asked: Asked) -> None:
        """Lay a frame on top of those that wait for their verdict."""
        with self._changed:
            self._drop(asked.number)
            (self._swept if asked.swept else self._new)[asked.number] = asked
            self._changed.notify()

    def renew(self, asked: Asked) -> bool:
        """Ask otherwise of a frame that waits, in its place; False if it does not wait any more."""
        with self._changed:
            for frames in (self._new, self._swept):
                if asked.number in frames:
                    frames[asked.number] = asked
                    return True
            return False

    def put_later(self, later: Later) -> None:
        """Lay a frame on top of those whose rest waits to be looked at."""
        number = later.asked.number
        with self._changed:
            self._drop_later(number)
            (self._swept_later if later.asked.swept else self._new_later)[number] = later
            self._changed.notify()

    @contextmanager
    def taken(self) -> Iterator[Asked | Later | None]:
        """Wait for a frame and take the newest, its verdict before any rest; None once closed.

        What lay there before is not begun while a new frame is in hand, which has the processor to
        itself so.
        """
        task = self._take()
        try:
            yield task
        finally:
            if task is not None and not _swept(task):
                with self._changed:
                    self._in_hand -= 1
                    self._changed.notify_all()

    def _take(self) -> Asked | Later | None:
        with self._changed:
            while not self._closed:
                frames = self._new or self._new_later
                if not self._in_hand:
                    frames = frames or self._swept or self._swept_later
                if frames:
                    task: Asked | Later = frames.popitem()[1]
                    self._in_hand += not _swept(task)
                    return task
                self._changed.wait()
            return None

    def withdraw(self, number: int) -> None:
        """Take a frame out, if it still waits."""
        with self._changed:
            self._drop(number)
            self._drop_later(number)

    def pressing(self, asked: Asked) -> bool:
        """Whether what can wait of a frame is to give way, to a verdict or to the end."""
        with self._changed:
            before_it = self._new or (asked.swept and (self._new_later or self._swept))
            return bool(before_it) or self._closed

    def close(self) -> None:
        """Let every taker go; what still waits is judged when the watch starts again."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def clear(self) -> None:
        """Let go of all that waits."""
        with self._changed:
            for frames in (self._new, self._new_later, self._swept, self._swept_later):
                frames.clear()

    def __len__(self) -> int:
        with self._changed:
            return len(self._new) + len(self._swept)

    def _drop(self, number: int) -> None:
        self._new.pop(number, None)
        self._swept.pop(number, None)

    def _drop_later(self, number: int) -> None:
        self._new_later.pop(number, None)
        self._swept_later.pop(number, None)


def _swept(task: Asked | Later) -> bool:
    return (task.asked if isinstance(task, Later) else task).swept
