"""Files that are not known to be whole yet, and when to look at each again."""

from __future__ import annotations

import heapq
import itertools
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from tether.arrivals.delivered import Delivered
from tether.arrivals.source import Whole
from tether.arrivals.whole import EndMark, end_mark, look_at
from tether.frame.file import FileIdentity

TWO_LOOKS = 0.05
"""Seconds between the two looks at a file that ends with its end mark and was not closed."""

AT_REST = 0.3
"""Seconds without a change that make a file whole when one sign of two is there."""

AT_REST_UNMARKED = 1.0
"""The same where neither an end mark nor a close can be had."""

LOOK_AGAIN = 0.25
"""Seconds until the next look at a file that lacks its end."""

PATIENCE = 3.0
"""Seconds without a change after which a file is delivered although its end is missing."""


@dataclass(slots=True)
class _Waiting:
    look: FileIdentity | None
    since: float
    closed: bool
    due: float
    swept: bool = False


class Settling:
    """The files that wait to be whole. Belongs to one thread; opens no pipe, sleeps never.

    Parameters
    ----------
    delivered
        What need not be delivered again; it is told of every delivery.
    patience
        Seconds without a change after which a file without its end is delivered anyway.
    clock
        Seconds, monotonic.
    """

    def __init__(
        self,
        delivered: Delivered,
        patience: float = PATIENCE,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._delivered = delivered
        self._patience = patience
        self._clock = clock
        self._waiting: dict[str, _Waiting] = {}
        self._order: list[tuple[float, int, str]] = []
        self._turn = itertools.count()
        self.closes_come = True
        """Whether a close is told here; without it a file without an end mark rests longer."""

    def __contains__(self, path: str) -> bool:
        return path in self._waiting

    def __len__(self) -> int:
        return len(self._waiting)

    def expect(self, path: str, *, swept: bool = False) -> None:
        """Put a file in line to be looked at, behind those that are there already.

        `swept`: it was there before anybody looked.
        """
        if path not in self._waiting:
            now = self._clock()
            self._waiting[path] = _Waiting(None, now, closed=False, due=now, swept=swept)
            self._queue(path, now)

    def drop(self, path: str) -> None:
        """Wait for a file no longer: it is gone."""
        self._waiting.pop(path, None)

    def consider(self, path: str, *, closed: bool = False) -> Whole | None:
        """Look at a file now.

        Parameters
        ----------
        path
            The file.
        closed
            Whether somebody has just closed it after writing, or moved it here.

        Returns
        -------
        Whole | None
            What to deliver; None where the file is not whole yet (it is looked at again when
            it is due), is gone, or was delivered as it is.
        """
        look = look_at(path)
        if look is None or self._delivered.knows(path, look):
            self._waiting.pop(path, None)
            return None
        now = self._clock()
        waiting = self._waiting.get(path)
        if waiting is None or waiting.look != look:
            swept = waiting is not None and waiting.look is None and waiting.swept
            waiting = self._waiting[path] = _Waiting(look, now, closed, now, swept)
        # Under another name it is as whole as it was.
        if self._delivered.was_whole(look):
            return self._done(path, look, waiting)
        waiting.closed = waiting.closed or closed
        mark = end_mark(path)
        whole_at = waiting.since + self._rest(mark, closed=waiting.closed)
        if now >= whole_at:
            return self._done(path, look, waiting)
        waiting.due = whole_at
        if mark is EndMark.MISSING:
            waiting.due = min(waiting.due, now + LOOK_AGAIN)
        self._queue(path, waiting.due)
        return None

    def next_due(self) -> float | None:
        """Return when the next file is to be looked at, on the clock, or None."""
        while self._order:
            due, _, path = self._order[0]
            waiting = self._waiting.get(path)
            if waiting is not None and waiting.due == due:
                return due
            heapq.heappop(self._order)
        return None

    def consider_next(self) -> Whole | None:
        """Look at the file that is due first, if any is due."""
        due = self.next_due()
        if due is None or due > self._clock():
            return None
        _, _, path = heapq.heappop(self._order)
        return self.consider(path)

    def _rest(self, mark: EndMark, *, closed: bool) -> float:
        """Return for how many seconds a file must not have changed to count as whole."""
        if mark is EndMark.MISSING:
            return self._patience
        if mark is EndMark.UNKNOWN:
            if not self.closes_come:
                return self._patience
            return AT_REST if closed else AT_REST_UNMARKED
        if closed:
            return 0.0
        return TWO_LOOKS if mark is EndMark.AT_END else AT_REST

    def _queue(self, path: str, due: float) -> None:
        heapq.heappush(self._order, (due, next(self._turn), path))

    def _done(self, path: str, look: FileIdentity, waiting: _Waiting) -> Whole:
        self._waiting.pop(path, None)
        self._delivered.note(path, look)
        now, when = self._clock(), datetime.now().astimezone()
        return Whole(Path(path), look, now, when, swept=waiting.swept)
