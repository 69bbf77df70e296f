"""Writing to the record: a connection that is kept open, or one small transaction."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from tether.session import schema
from tether.session.schema import RecordError

_AGAIN_S = 0.5
"""After another program kept us waiting in vain, nobody waits for it again so soon."""


class Writing:
    """The writing end of the record in one process: whoever writes there does so through it.

    Any thread may; one at a time. It reopens when the card comes back.

    Parameters
    ----------
    folder
        The session's.
    wait_s
        How long a transaction waits for another program's, s.

    Raises
    ------
    RecordError
        From every method: the folder is gone, the disk is full, or the record is damaged or locked.
    """

    def __init__(self, folder: Path, wait_s: float = schema.WAIT_S) -> None:
        self.folder = folder
        self.path = folder / schema.NAME
        self._wait_s = wait_s
        self._lock = threading.RLock()
        self._inode: tuple[int, int] | None = None
        self._opened: sqlite3.Connection | None = None
        self._not_before = 0.0
        self.openings = 0
        """How often it was opened; what stands at its path may be another record since."""

    def open(self) -> None:
        """Open the record; make it where there is none."""
        with self._lock:
            self._ready()

    def wait_at_most(self, wait_s: float) -> None:
        """Wait for another program's transaction no longer than this from now on, s."""
        with self._lock:
            self._wait_s = wait_s
            if self._opened is not None:
                self._opened.execute(f"PRAGMA busy_timeout = {round(1000 * wait_s)}")

    def close(self) -> None:
        """Fold the write-ahead log into the file and let go of it."""
        with self._lock:
            if self._opened is not None:
                self._opened.close()
            self._opened = None

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All that is written in this context is written, or nothing of it."""
        with self._lock:
            if time.monotonic() < self._not_before:
                raise RecordError(f"{self.path}: another program keeps it locked")
            try:
                opened = self._ready()
                opened.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as problem:
                self._hold_off(problem)
                raise RecordError(f"{self.path}: {problem}") from problem
            except RecordError as problem:
                self._hold_off(problem.__cause__)
                raise
            try:
                yield opened
                opened.execute("COMMIT")
            except sqlite3.Error as problem:
                _quietly(lambda: opened.execute("ROLLBACK"))
                raise RecordError(f"{self.path}: {problem}") from problem
            except BaseException:
                _quietly(lambda: opened.execute("ROLLBACK"))
                raise

    def _hold_off(self, problem: BaseException | None) -> None:
        busy = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
        if isinstance(problem, sqlite3.OperationalError) and problem.sqlite_errorcode in busy:
            self._not_before = time.monotonic() + _AGAIN_S

    def _ready(self) -> sqlite3.Connection:
        if self._opened is not None and schema.inode(self.path) == self._inode:
            return self._opened
        self.close()
        if not self.folder.is_dir():
            raise RecordError(f"{self.folder}: the folder is gone")
        self._opened = schema.connect(self.path, write=True, wait_s=self._wait_s)
        self.openings += 1
        self._inode = schema.inode(self.path)
        return self._opened


@contextmanager
def once(where: Path | Writing) -> Iterator[sqlite3.Connection]:
    """One small transaction: through the writing end of this process, or by a folder's path.

    Screens and commands give the folder. Their transaction waits for the watch's own, as the
    watch's waits for it.

    Raises
    ------
    RecordError
        There is no record, or it cannot be written.
    """
    if isinstance(where, Writing):
        with where.transaction() as opened:
            yield opened
        return
    path = where / schema.NAME
    if schema.inode(path) is None:
        raise RecordError(f"{path}: there is no record here")
    with closing(Writing(where)) as writing, writing.transaction() as opened:
        yield opened


def next_revision(opened: sqlite3.Connection) -> int:
    """The number of the change that this transaction makes."""
    found = opened.execute("UPDATE revisions SET last = last + 1 RETURNING last").fetchone()
    return int(found[0])


def _quietly(step: Callable[[], object]) -> None:
    with suppress(sqlite3.Error):
        step()
