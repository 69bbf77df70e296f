"""A connection that writes to the record, one transaction at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from tether.session import schema
from tether.session.schema import RecordError


class Writing:
    """A writing end of the record. One thread at a time; reopens when the card comes back.

    Raises
    ------
    RecordError
        From every method: the folder is gone, the disk is full, or the record is damaged.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / schema.NAME
        self._inode: tuple[int, int] | None = None
        self._opened: sqlite3.Connection | None = None

    def close(self) -> None:
        """Fold the write-ahead log into the file and let go of it."""
        if self._opened is not None:
            self._opened.close()
        self._opened = None

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        opened = self._ready()
        try:
            opened.execute("BEGIN IMMEDIATE")
            try:
                yield opened
            except BaseException:
                _quietly(lambda: opened.execute("ROLLBACK"))
                raise
            opened.execute("COMMIT")
        except sqlite3.Error as problem:
            _quietly(lambda: opened.execute("ROLLBACK"))
            raise RecordError(f"{self.path}: {problem}") from problem

    def _ready(self) -> sqlite3.Connection:
        if self._opened is not None and schema.inode(self.path) == self._inode:
            return self._opened
        self.close()
        if not self.folder.is_dir():
            raise RecordError(f"{self.folder}: the folder is gone")
        self._opened = schema.connect(self.path, write=True)
        self._inode = schema.inode(self.path)
        return self._opened


def _quietly(step: Callable[[], object]) -> None:
    with suppress(sqlite3.Error):
        step()


@contextmanager
def once(folder: Path) -> Iterator[sqlite3.Connection]:
    """One small transaction by somebody who does not own the record: a screen, a command.

    It waits for the watch's own as the watch waits for it.

    Raises
    ------
    RecordError
        There is no record, or it cannot be written.
    """
    path = folder / schema.NAME
    if schema.inode(path) is None:
        raise RecordError(f"{path}: there is no record here")
    with closing(schema.connect(path, write=True)) as opened:
        try:
            opened.execute("BEGIN IMMEDIATE")
            yield opened
            opened.execute("COMMIT")
        except sqlite3.Error as problem:
            raise RecordError(f"{path}: {problem}") from problem


def next_revision(opened: sqlite3.Connection) -> int:
    """The number of the change that this transaction makes."""
    found = opened.execute("UPDATE revisions SET last = last + 1 RETURNING last").fetchone()
    return int(found[0])
