"""Frames that wait: for their verdict, the newest first, since its subject is still there.

Behind those comes what lay there before anybody looked, and behind all of it frames that have
their verdict but whose rest nobody has looked at.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

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
    """A stack that threads may share; a frame asked for again while it waits is judged once."""

    def __init__(self) -> None:
        self._waiting: dict[int, Asked] = {}
        self._from_before: dict[int, Asked] = {}
        self._later: dict[int, Later] = {}
        self._changed = threading.Condition()
        self._closed = False

    def put(self, asked: Asked, *, from_before: bool = False) -> None:
        """Lay a frame on top; or on those that lay there before anybody looked."""
        with self._changed:
            self._drop(asked.number)
            (self._from_before if from_before else self._waiting)[asked.number] = asked
            self._changed.notify()

    def renew(self, asked: Asked) -> bool:
        """Ask otherwise of a frame that waits, in its place; False if it does not wait any more."""
        with self._changed:
            for frames in (self._waiting, self._from_before):
                if asked.number in frames:
                    frames[asked.number] = asked
                    return True
            return False

    def put_later(self, later: Later) -> None:
        """Lay a frame on top of those whose rest waits to be looked at."""
        with self._changed:
            self._later.pop(later.asked.number, None)
            self._later[later.asked.number] = later
            self._changed.notify()

    def take(self) -> Asked | Later | None:
        """Wait for a frame and take the newest, its verdict before any rest; None once closed."""
        with self._changed:
            while not self._closed:
                frames = self._waiting or self._from_before or self._later
                if frames:
                    return frames.popitem()[1]
                self._changed.wait()
            return None

    def withdraw(self, number: int) -> None:
        """Take a frame out, if it still waits."""
        with self._changed:
            self._drop(number)
            self._later.pop(number, None)

    @property
    def pressing(self) -> bool:
        """Whether a frame waits for its verdict, or all is to end: what can wait is to give way."""
        with self._changed:
            return bool(self._waiting or self._from_before) or self._closed

    def close(self) -> None:
        """Let every taker go; what still waits is judged when the watch starts again."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def __len__(self) -> int:
        with self._changed:
            return len(self._waiting) + len(self._from_before)

    def _drop(self, number: int) -> None:
        self._waiting.pop(number, None)
        self._from_before.pop(number, None)
