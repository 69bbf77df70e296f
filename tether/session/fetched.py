"""What of a camera's card was dealt with, as the record keeps it."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from tether.arrivals.camera.ledger import Dealt, LedgerError
from tether.arrivals.camera.messages import OnCard
from tether.session.schema import RecordError
from tether.session.writing import Writing

# Between the name that a camera was given for the session and what it calls itself.
_NAMED = "\t"


class Fetched:
    """The ledger of a camera's source, in a connection of its own.

    Of several cameras each has a `name`, and its files a folder of that name. Two of one model that
    tell no serial number may well give the same name to files of one size at the same second, so
    each knows only what it fetched itself, and what was fetched while no camera had a name.

    Parameters
    ----------
    folder
        The session's.
    name
        The camera's, where there are several.

    Raises
    ------
    LedgerError
        From every method: the record cannot be read or written just now.
    """

    def __init__(self, folder: Path, name: str = "") -> None:
        self._record = _Table(folder)
        self._name = name

    def dealt(self) -> list[Dealt]:
        """Return all that is noted, in the order in which it was."""
        try:
            rows = self._record.rows()
        except RecordError as problem:
            raise LedgerError(str(problem)) from problem
        return [one for one in map(self._seen_from_here, rows) if one is not None]

    def note(self, dealt: Iterable[Dealt]) -> None:
        """Note files at once; what was noted of one of them before is replaced."""
        try:
            self._record.put(map(self._seen_from_home, dealt))
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

    def _seen_from_here(self, dealt: Dealt) -> Dealt | None:
        """Return it as this camera's source knows it; None if it is another camera's."""
        name, named, camera = dealt.camera.rpartition(_NAMED)
        if named and self._name and name != self._name:
            return None
        file = dealt.file
        if file is not None and self._name:
            # A file fetched without a name lies elsewhere, and is found there by its whole path.
            lies_here = file.parts[:1] == (self._name,)
            file = Path(*file.parts[1:]) if lies_here else self._record.folder.absolute() / file
        return replace(dealt, camera=camera, file=file)

    def _seen_from_home(self, dealt: Dealt) -> Dealt:
        """Return it as the record names it."""
        if not self._name:
            return dealt
        file = dealt.file if dealt.file is None else self._name / dealt.file
        return replace(dealt, camera=f"{self._name}{_NAMED}{dealt.camera}", file=file)


class _Table(Writing):
    def rows(self) -> list[Dealt]:
        with self.transaction() as opened:
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
        with self.transaction() as opened:
            opened.execute(
                "INSERT OR IGNORE INTO state VALUES ('camera', ?)", (json.dumps(time.time()),)
            )
            found = opened.execute("SELECT value FROM state WHERE key = 'camera'").fetchone()
        return float(json.loads(found[0]))

    def put(self, dealt: Iterable[Dealt]) -> None:
        with self.transaction() as opened:
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
