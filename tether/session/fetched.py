"""What of a camera's card was dealt with, as the record keeps it."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterable
from pathlib import Path

from tether.arrivals.camera.ledger import Dealt, LedgerError
from tether.arrivals.camera.messages import OnCard
from tether.session.schema import RecordError
from tether.session.writing import Writing


class Fetched:
    """The ledger of a camera's source, in a connection of its own.

    Raises
    ------
    LedgerError
        From every method: the record cannot be read or written just now.
    """

    def __init__(self, folder: Path) -> None:
        self._record = _Table(folder)

    def dealt(self) -> list[Dealt]:
        """Return all that is noted, in the order in which it was."""
        try:
            return self._record.rows()
        except RecordError as problem:
            raise LedgerError(str(problem)) from problem

    def note(self, dealt: Iterable[Dealt]) -> None:
        """Note files at once; what was noted of one of them before is replaced."""
        try:
            self._record.put(dealt)
        except RecordError as problem:
            raise LedgerError(str(problem)) from problem

    def began(self) -> float:
        """Return when the session first asked for a camera, in s since 1970."""
        try:
            return self._record.began()
        except RecordError as problem:
            raise LedgerError(str(problem)) from problem

    def close(self) -> None:
        """Let go of the record."""
        self._record.close()


class _Table(Writing):
    def rows(self) -> list[Dealt]:
        with self._transaction() as opened:
            found = opened.execute(
                "SELECT camera, folder, name, size, time, path FROM fetched ORDER BY id"
            ).fetchall()
        return [
            Dealt(
                row[0],
                OnCard(os.fsdecode(row[1]), os.fsdecode(row[2]), row[3], row[4]),
                None if row[5] is None else Path(os.fsdecode(row[5])),
            )
            for row in found
        ]

    def began(self) -> float:
        with self._transaction() as opened:
            opened.execute(
                "INSERT OR IGNORE INTO state VALUES ('camera', ?)", (json.dumps(time.time()),)
            )
            found = opened.execute("SELECT value FROM state WHERE key = 'camera'").fetchone()
        return float(json.loads(found[0]))

    def put(self, dealt: Iterable[Dealt]) -> None:
        with self._transaction() as opened:
            opened.executemany(
                "INSERT INTO fetched (camera, folder, name, size, time, path) "
                "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (camera, folder, name, size, time) "
                "DO UPDATE SET path = excluded.path",
                [_row(one) for one in dealt],
            )


def _row(dealt: Dealt) -> tuple[object, ...]:
    folder, name, size, time = dealt.on_card
    path = None if dealt.file is None else os.fsencode(dealt.file)
    return dealt.camera, os.fsencode(folder), os.fsencode(name), size, time, path
