"""What can go wrong, to be set on a camera at any moment."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field


@dataclass(slots=True)
class Faults:
    """Faults; each holds until it is used up or taken back.

    Parameters
    ----------
    cut_after
        Bytes of picture data after which the connection is cut, once.
    stall_after, stall_s
        The byte of picture data whose packet is sent so many seconds late, once.
    answers
        Response codes by operation, given once each instead of doing it.
    denied, denied_content
        Handles of objects that do not exist when asked for, though they were announced; and of
        those that are described, but not given.
    refuse
        Whether whoever connects is refused.
    silent
        Whether nothing is told and nothing answered, on connections that stay open.
    mute
        Whether no event is told, though all else works.
    pace
        Bytes of picture data in a second at most; 0 for as fast as it goes.
    """

    cut_after: int | None = None
    stall_after: int | None = None
    stall_s: float = 0.0
    answers: dict[int, list[int]] = field(default_factory=dict)
    denied: set[int] = field(default_factory=set)
    denied_content: set[int] = field(default_factory=set)
    refuse: bool = False
    silent: bool = False
    mute: bool = False
    pace: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def answer(self, operation: int) -> int | None:
        """Take the next wrong answer to an operation, if there is one."""
        with self.lock:
            waiting = self.answers.get(operation)
            return waiting.pop(0) if waiting else None

    def part(self, sent: int, size: int) -> tuple[int, bool, float]:
        """How many of the next bytes to send, then whether to cut, and s to wait before both."""
        with self.lock:
            wait, cut = 0.0, False
            if self.stall_after is not None and self.stall_after < sent + size:
                self.stall_after, wait = None, self.stall_s
            if self.cut_after is not None and self.cut_after <= sent + size:
                size, cut, self.cut_after = max(0, self.cut_after - sent), True, None
            if self.pace:
                wait += size / self.pace
            return size, cut, wait
