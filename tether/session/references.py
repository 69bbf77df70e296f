"""The reference frames in the record: one for each setup, camera, lens and f-number.

One that somebody has chosen comes first, then the sharpest so far. A screen or a command chooses in
one small transaction; the watch keeps the sharpest.
"""

from __future__ import annotations

import json
import os
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tether import contract
from tether.model import Exposure, Eye, FocusArea
from tether.session.frame_evidence import FrameEvidence
from tether.session.writing import Writing, next_revision, once

_LOOKED_THROUGH = 500  # frames of a setup, the last ones, among which the sharpest is looked for
_TRIED = 5  # of them, the sharpest first: the files of some may be gone


class NoReference(Exception):
    """A frame that cannot be a reference; the message says why."""


@dataclass(frozen=True, slots=True)
class Key:
    """What two frames have in common that can be compared; `setup` is its id."""

    setup: int | None
    camera: str | None
    lens: str | None
    f_number: float | None

    @classmethod
    def of(cls, setup: int | None, camera: str | None, exposure: Exposure) -> Key:
        """The key of a frame that was taken so."""
        return cls(setup, camera, exposure.lens, exposure.f_number)

    @property
    def values(self) -> tuple[object, ...]:
        """As the record has them."""
        return self.setup, self.camera, self.lens, self.f_number


@dataclass(frozen=True, slots=True)
class Candidate:
    """A frame that may be the reference: its id, its revision, its file, and where it was judged.

    `path` lies below the session's folder. `named`: the record names it as a reference; `chosen`:
    since somebody wished so.
    """

    number: int
    revision: int
    path: Path
    digest: bytes | None
    name: str
    area: FocusArea | None
    eyes: tuple[Eye, ...]
    named: bool
    chosen: bool


@dataclass(frozen=True, slots=True)
class Beside:
    """The reference to be shown beside a frame: its id, its name, and its crop as a JPEG."""

    number: int
    name: str
    crop: bytes


def choose(where: Path | Writing, number: int) -> None:
    """Have later frames measured against the frame with this id, where they are taken as it was.

    Raises
    ------
    NoReference
        It is not in the record any more, or nothing on it was measured.
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        row = opened.execute(
            "SELECT edge_width_px, slate FROM frames WHERE id = ?", (number,)
        ).fetchone()
        key = _key_of(opened, number)
        if row is None or key is None:
            raise NoReference("that frame is not in the record any more")
        if row[1] is not None:
            raise NoReference("it is a slate: choose a frame of the subject")
        if row[0] is None:
            raise NoReference("nothing on it was measured: choose a frame that has an edge width")
        _put(opened, key, number, chosen=True)


def let_go(where: Path | Writing, number: int) -> None:
    """Let go of the reference that was chosen for frames taken as the one with this id.

    Later frames are measured against the sharpest so far again.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        key = _key_of(opened, number)
        if key is None:
            return
        opened.execute(
            f"DELETE FROM reference_frames WHERE {_OF_KEY.format('')} AND chosen = 1", key.values
        )
        _changed(opened, number)


def keep(where: Path | Writing, key: Key, number: int, instead_of: frozenset[int]) -> bool:
    """Keep the frame with this id as the sharpest so far.

    Parameters
    ----------
    where
        The session's folder, or the writing end of its record.
    key
        What it is the sharpest of.
    number
        Its id.
    instead_of
        Ids of frames whose place it may take. Another's it leaves alone.

    Returns
    -------
    bool
        Whether it is the one now.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        there = sharpest_so_far(named(opened, key))
        found = opened.execute("SELECT 1 FROM frames WHERE id = ?", (number,)).fetchone()
        if found is None or (there is not None and there.number not in instead_of):
            return False
        _put(opened, key, number, chosen=False)
        return True


def drop(where: Path | Writing, number: int) -> None:
    """Let go of the frame with this id where it was kept as the sharpest: it is not sharp now.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        opened.execute("DELETE FROM reference_frames WHERE chosen = 0 AND frame = ?", (number,))
        next_revision(opened)


def is_kept(opened: sqlite3.Connection, number: int) -> bool:
    """Whether the frame with this id is kept as the sharpest so far."""
    found = opened.execute(
        "SELECT 1 FROM reference_frames WHERE chosen = 0 AND frame = ?", (number,)
    )
    return found.fetchone() is not None


def named(opened: sqlite3.Connection, key: Key) -> list[Candidate]:
    """Frames that the record names as the reference: the chosen one first, then the sharpest."""
    rows = opened.execute(
        f"SELECT {_COLUMNS}, 1, chosen FROM reference_frames AS r JOIN frames AS f "
        f"ON f.id = r.frame AND f.setup IS r.setup "
        f"WHERE {_OF_KEY.format('r.')} AND (chosen OR {_NOT_OVERRULED}) ORDER BY chosen DESC",
        key.values,
    )
    return [_candidate(row) for row in rows]


def sharpest_so_far(some: list[Candidate]) -> Candidate | None:
    """Which of those that the record names nobody chose."""
    return next((one for one in some if not one.chosen), None)


def sharpest(opened: sqlite3.Connection, key: Key) -> list[Candidate]:
    """Frames to take where it names none that can be used: by their edge width, the least first."""
    rows = opened.execute(
        f"SELECT {_COLUMNS}, 0, 0 FROM (SELECT * FROM frames WHERE setup IS ? AND camera IS ? "
        "AND verdict IN ('sharp', 'borderline') AND slate IS NULL ORDER BY id DESC "
        f"LIMIT {_LOOKED_THROUGH}) AS f WHERE json_extract(line, '$.exposure.lens') IS ? "
        f"AND json_extract(line, '$.exposure.f_number') IS ? AND {_NOT_OVERRULED} "
        f"ORDER BY edge_width_px LIMIT {_TRIED}",
        key.values,
    )
    return [_candidate(row) for row in rows]


def beside(opened: sqlite3.Connection, number: int) -> Beside | None:
    """The reference that a frame was measured against, else the one of frames taken as it was."""
    row = opened.execute("SELECT evidence FROM frames WHERE id = ?", (number,)).fetchone()
    against = FrameEvidence.from_json(row[0] if row is not None else None).against
    found = _shown(opened, against.number) if against else None
    key = _key_of(opened, number)
    if found is None and key is not None:
        kept = opened.execute(
            f"SELECT frame FROM reference_frames WHERE {_OF_KEY.format('')} ORDER BY chosen DESC",
            key.values,
        ).fetchone()
        found = _shown(opened, kept[0]) if kept else None
    return found if found is not None and found.number != number else None


_OF_KEY = "{0}setup IS ? AND {0}camera IS ? AND {0}lens IS ? AND {0}f_number IS ?"
_NOT_OVERRULED = (
    "NOT EXISTS (SELECT 1 FROM overrules WHERE overrules.frame = f.id "
    "AND overrules.verdict = 'soft')"
)
_COLUMNS = "f.id, f.revision, f.path, f.digest, f.name, f.line, f.evidence"


def _put(opened: sqlite3.Connection, key: Key, number: int, *, chosen: bool) -> None:
    opened.execute(
        "INSERT OR REPLACE INTO reference_frames "
        "(setup, camera, lens, f_number, frame, chosen, revision) VALUES (?, ?, ?, ?, ?, ?, ?)",
        (*key.values, number, chosen, _changed(opened, number)),
    )


def _changed(opened: sqlite3.Connection, number: int) -> int:
    """Have screens look at the frame again; returns the revision of that."""
    revision = next_revision(opened)
    opened.execute("UPDATE frames SET revision = ? WHERE id = ?", (revision, number))
    return revision


def _key_of(opened: sqlite3.Connection, number: int) -> Key | None:
    row = opened.execute(
        "SELECT setup, camera, json_extract(line, '$.exposure.lens'), "
        "json_extract(line, '$.exposure.f_number') FROM frames WHERE id = ?",
        (number,),
    ).fetchone()
    return Key(*row) if row is not None else None


def _shown(opened: sqlite3.Connection, number: int | None) -> Beside | None:
    row = opened.execute(
        "SELECT id, name, jpeg FROM frames LEFT JOIN crops ON crops.frame = id WHERE id = ?",
        (number,),
    ).fetchone()
    return Beside(row[0], row[1], bytes(row[2] or b"")) if row is not None else None


def _candidate(row: tuple[Any, ...]) -> Candidate:
    number, revision, path, digest, name, line, evidence, named, chosen = row
    return Candidate(
        number,
        revision,
        Path(os.fsdecode(path)),
        digest,
        name,
        contract.area(json.loads(line)),
        FrameEvidence.from_json(evidence).eyes,
        bool(named),
        bool(chosen),
    )
