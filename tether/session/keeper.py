"""Puts judged frames into the record, and keeps them until it can be written again."""

from __future__ import annotations

import logging
from collections import deque
from contextlib import suppress
from pathlib import Path

from tether.session.record import Entry, Record, WatchState
from tether.session.schema import RecordError

_log = logging.getLogger(__name__)

# Some 20 kB each. Past this the oldest are let go: not being recorded, the next start judges them.
_MOST_KEPT = 2000


class Keeper:
    """Writes entries in their order; those that cannot be written now are kept for later."""

    def __init__(self, record: Record) -> None:
        self._record = record
        self._unsaved: deque[Entry] = deque(maxlen=_MOST_KEPT)
        self._state: WatchState | None = None
        self._told: WatchState | None = None

    def keep(self, entry: Entry) -> str | None:
        """Record an entry; the reason if that cannot be done now."""
        self._unsaved.append(entry)
        return self.flush()

    def attach(self, path: Path, raw: Path) -> None:
        """Note the raw of a frame that may be recorded already; else its entry will say so."""
        with suppress(RecordError):  # the next start finds the raw and its picture again
            self._record.attach_raw(path, raw)

    def rename(self, old: Path, new: Path, name: str) -> None:
        """Have a recorded frame follow its file to another name."""
        self.flush()
        with suppress(RecordError):  # the next start judges the file under its new name
            self._record.rename(old, new, name)

    def told(self, path: Path) -> None:
        """Note that an unfinished frame was told as it stands."""
        self.flush()
        with suppress(RecordError):  # at worst it is told once more
            self._record.told(path)

    def finish(self, path: Path) -> None:
        """Leave a frame as it stands."""
        self.flush()
        with suppress(RecordError):  # the next start finds that there is nothing to look at
            self._record.finish(path)

    def tell(self, state: WatchState) -> None:
        """Have the record say how the watch is doing, as soon as it can be written."""
        self._state = state
        self.flush()

    def flush(self) -> str | None:
        """Write what is not written yet; the reason if that still cannot be done."""
        try:
            while self._unsaved:
                self._record.add(self._unsaved[0])
                self._unsaved.popleft()
            if self._state is not None and self._state != self._told:
                self._record.tell(self._state)
                self._told = self._state
        except RecordError as problem:
            _log.info("%s", problem)
            return str(problem)
        return None
