"""The session record, as the screens read it; they know nothing else of a session."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from tether import contract
from tether.model import Against, EdgeWidth, Rect, Source
from tether.session import coverage, lock, overrules, references, reshoots, schema, setups, turns
from tether.session.coverage import Coverage
from tether.session.frame_evidence import FrameEvidence
from tether.session.laid import Laid, key
from tether.session.record import WatchState
from tether.session.references import Beside, Candidate, Key
from tether.session.reshoots import Reshoot
from tether.session.schema import RecordError
from tether.session.setups import Listed
from tether.session.turns import Turns
from tether.verdict.limit import Leeway

T = TypeVar("T")

LAID_SINCE, SETUPS_SINCE, REMOVED_SINCE = 2, 3, 4  # the record's version


@dataclass(frozen=True, slots=True)
class Row:
    """One frame as the running chart needs it: widths in px, `arrived` in s since 1970."""

    id: int
    revision: int
    arrived: float
    verdict: str
    cause: str | None
    edge_width_px: float | None
    edge_width_lo: float | None
    edge_width_hi: float | None
    limit_px: float | None
    name: str
    setup: int | None = None
    slate: str | None = None
    overruled: str | None = None
    camera: str | None = None

    @property
    def stands(self) -> str:
        """The verdict that counts: the photographer's, else the measured one."""
        return self.overruled or self.verdict


@dataclass(frozen=True, slots=True)
class Measured:
    """A frame that was measured: how wide, of what, against what; `arrived` in s since 1970."""

    arrived: float
    name: str
    key: Key
    source: Source
    width: EdgeWidth
    limit_px: float | None
    relative_blur: float | None
    against: Against | None


@dataclass(frozen=True, slots=True)
class Progress:
    """The shot list as it stands: what each setup has, the setup of now (its id), the reshoots."""

    setups: tuple[Coverage, ...] = ()
    current: int | None = None
    reshoots: tuple[Reshoot, ...] = ()

    @property
    def uncovered(self) -> tuple[Coverage, ...]:
        """Setups that lack sharp frames, in the list's order."""
        return tuple(one for one in self.setups if not one.covered)


@dataclass(frozen=True, slots=True)
class PlanMark:
    """How far the shot list was read: the last change of a setup, the last turn, what was removed.

    `leeway` is how the limit was fed, as the record has it.
    """

    setups: int = 0
    turns: int = 0
    unlisted: object = None
    leeway: object = None


class Reader:
    """The reading end: any number may be open while a watch runs, or none does.

    Raises
    ------
    RecordError
        From every method: no record is there, or it cannot be read just now.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / schema.NAME
        self._inode: tuple[int, int] | None = None
        self._opened: sqlite3.Connection | None = None
        self._version: tuple[object, ...] = ()

    def changed(self) -> bool:
        """Whether anybody wrote since this was last asked; cheap, for asking ten times a second."""
        opened = self._ready()
        now = (self._inode, self._one(opened, "PRAGMA data_version"))
        changed = now != self._version
        self._version = now
        return changed

    def last_change(self) -> int:
        """The number of the last change of frames, setups, turns and what hangs on them."""
        return int(self._one(self._ready(), "SELECT last FROM revisions"))

    def rows_since(self, revision: int) -> list[Row]:
        """Frames added or changed after `revision`, oldest change first; 0 asks for all."""
        more = ", setup, slate, overrules.verdict, camera" if self._since(SETUPS_SINCE) else ""
        joined = "LEFT JOIN overrules ON overrules.frame = frames.id" if more else ""
        found = self._all(
            "SELECT id, frames.revision, arrived, frames.verdict, cause, edge_width_px, "
            f"edge_width_lo, edge_width_hi, limit_px, name{more} FROM frames {joined} "
            "WHERE frames.revision > ? ORDER BY frames.revision",
            (revision,),
        )
        return [Row(*one) for one in found]

    def removed_since(self, revision: int) -> list[int]:
        """Ids of frames that left the record after `revision`."""
        if not self._since(REMOVED_SINCE):
            return []
        found = self._all("SELECT frame FROM removed WHERE revision > ?", (revision,))
        return [row[0] for row in found]

    def shot_list(self) -> tuple[list[Listed], Turns]:
        """Every setup in the list's order, and the turns from one to the next."""
        if not self._since(SETUPS_SINCE):
            return [], Turns([])
        return self._asked(lambda opened: (setups.listed(opened), turns.read(opened)))

    def setups_touched(self, revision: int) -> set[int]:
        """Ids of setups that changed, or whose frames did, after this revision."""
        found = self._all(
            "SELECT setup FROM frames WHERE revision > :last AND setup IS NOT NULL UNION "
            "SELECT setup FROM removed WHERE revision > :last AND setup IS NOT NULL UNION "
            "SELECT id FROM setups WHERE revision > :last",
            {"last": revision},
        )
        return {row[0] for row in found}

    def plan(self) -> PlanMark:
        """What changes whenever the shot list, the turns or the limit's leeway do; cheap."""
        if not self._since(SETUPS_SINCE):
            return PlanMark()
        found = self._all(
            "SELECT ifnull((SELECT max(revision) FROM setups), 0), "
            "ifnull((SELECT max(id) FROM turns), 0), "
            "(SELECT value FROM state WHERE key = 'unlisted'), "
            "(SELECT value FROM state WHERE key = 'leeway')",
            (),
        )
        return PlanMark(*found[0])

    def setups_since(self, revision: int) -> list[Listed]:
        """Setups that were put on the list or changed after this revision."""
        return self._asked(lambda opened: setups.changed_since(opened, revision))

    def turns_since(self, last: int) -> list[tuple[float, int | None]]:
        """Turns made after the one of this id: when, and to which setup."""
        return self._asked(lambda opened: turns.read_since(opened, last))

    def progress(self) -> Progress:
        """What each setup has and needs, which one is the setup of now, and the open reshoots."""
        if not self._since(SETUPS_SINCE):
            return Progress()

        def look(opened: sqlite3.Connection) -> Progress:
            found = coverage.coverage(opened)
            return Progress(
                tuple(found), setups.current(opened), tuple(reshoots.open_now(opened, found))
            )

        return self._asked(look)

    def leeway(self) -> Leeway | None:
        """How far the photographer's word has moved the session's limit."""
        return self._asked(overrules.leeway) if self._since(SETUPS_SINCE) else None

    def overrule(self, number: int) -> tuple[str, str] | None:
        """What the photographer said against the verdict of the frame with this id, and why."""
        if not self._since(SETUPS_SINCE):
            return None
        found = self._all("SELECT verdict, reason FROM overrules WHERE frame = ?", (number,))
        return (found[0][0], found[0][1]) if found else None

    def chosen_as_reference(self, number: int) -> bool:
        """Whether somebody has chosen the frame with this id as a reference."""
        if not self._since(SETUPS_SINCE):
            return False
        query = "SELECT 1 FROM reference_frames WHERE frame = ? AND chosen = 1"
        return bool(self._all(query, (number,)))

    def frame(self, number: int) -> dict[str, Any] | None:
        """The contract's object for the frame with this id."""
        found = self._all("SELECT line FROM frames WHERE id = ?", (number,))
        return dict(json.loads(found[0][0])) if found else None

    def evidence(self, number: int) -> FrameEvidence:
        """What the frame was judged by, and its size and orientation; ValueError if damaged."""
        found = self._all("SELECT evidence FROM frames WHERE id = ?", (number,))
        return FrameEvidence.from_json(found[0][0] if found else None)

    def crop(self, number: int) -> bytes:
        """JPEG of the middle of the frame's focus area at 1:1, right way up; empty if none."""
        found = self._all("SELECT jpeg FROM crops WHERE frame = ?", (number,))
        return bytes(found[0][0]) if found else b""

    def path_of(self, number: int) -> Path | None:
        """Where the judged file of the frame with this id stood when it was judged."""
        found = self._all("SELECT path FROM frames WHERE id = ?", (number,))
        # Where another file has its place, what is appended to its path is no part of one.
        return self.folder / os.fsdecode(found[0][0].partition(b"\0")[0]) if found else None

    def reference_of(self, number: int) -> Beside | None:
        """The reference that belongs beside the frame with this id; None if that is none or itself.

        The one that it was measured against, else the one of frames taken as it was.
        """
        if not self._since(SETUPS_SINCE):
            return None
        return self._asked(lambda opened: references.beside(opened, number))

    def measured(self, last: int) -> list[Measured]:
        """The last so many frames that were measured, the newest first."""
        if not self._since(SETUPS_SINCE):
            return []
        rows = self._all(
            "SELECT arrived, name, setup, camera, edge_width_px, edge_width_lo, edge_width_hi, "
            "limit_px, relative_blur, line, evidence FROM frames WHERE edge_width_px IS NOT NULL "
            "AND slate IS NULL ORDER BY arrived DESC LIMIT ?",
            (last,),
        )
        return [_measured(row) for row in rows]

    def reference_candidates(self, key: Key, *, named: bool) -> list[Candidate]:
        """Frames that may be the reference, first choice first: those named, or the sharpest."""
        look = references.named if named else references.sharpest
        return self._asked(lambda opened: look(opened, key))

    def kept_as_reference(self, number: int) -> bool:
        """Whether the frame with this id is kept as the sharpest so far."""
        return self._asked(lambda opened: references.is_kept(opened, number))

    def laid(
        self, setup: int | None = None, camera: str | None = None, *, drawn: bool = True
    ) -> Laid | None:
        """The area drawn for a setup's frames by a camera, or else that the settings gave it."""
        if not self._since(LAID_SINCE):
            return None
        whose, values = ("AND camera IS ?", (camera,)) if self._since(SETUPS_SINCE) else ("", ())
        found = self._all(
            "SELECT x, y, width, height, frame_width, frame_height, frame, drawn, revision "
            f"FROM fixed_areas WHERE setup IS ? AND drawn = ? {whose}",
            (key(setup), drawn, *values),
        )
        if not found:
            return None
        row = found[0]
        return Laid(Rect(*row[:4]), (row[4], row[5]), row[6], bool(row[7]), row[8])

    def laid_over(self, laid: Laid) -> bytes:
        """JPEG of the frame that a fixed area was laid over, reduced, unrotated."""
        found = self._all("SELECT jpeg FROM fixed_areas WHERE revision = ?", (laid.revision,))
        return bytes(found[0][0]) if found else b""

    def state(self) -> WatchState:
        """How the watch was doing when it last said."""
        found = self._all("SELECT value FROM state WHERE key = 'watch'", ())
        if not found:
            return WatchState()
        told = json.loads(found[0][0])
        before = tuple((state, text) for state, text in told.pop("before", ()))
        return WatchState(**told, before=before)

    def watched(self) -> bool:
        """Whether a watch is running on the folder now."""
        return lock.held(self.folder)

    def close(self) -> None:
        """Let go of the record."""
        if self._opened is not None:
            self._opened.close()
        self._opened = None

    def _ready(self) -> sqlite3.Connection:
        there = schema.inode(self.path)
        if there is None:
            raise RecordError(f"{self.path}: there is no record here")
        if self._opened is None or there != self._inode:
            self.close()
            self._opened = schema.connect(self.path, write=False)
            self._inode = there
        return self._opened

    def _since(self, version: int) -> bool:
        return int(self._one(self._ready(), "PRAGMA user_version")) >= version

    def _asked(self, look: Callable[[sqlite3.Connection], T]) -> T:
        try:
            return look(self._ready())
        except sqlite3.Error as problem:
            raise RecordError(f"{self.path}: {problem}") from problem

    def _all(
        self, query: str, values: tuple[object, ...] | dict[str, object]
    ) -> list[tuple[Any, ...]]:
        try:
            return self._ready().execute(query, values).fetchall()
        except sqlite3.Error as problem:
            raise RecordError(f"{self.path}: {problem}") from problem

    def _one(self, opened: sqlite3.Connection, query: str) -> Any:
        try:
            return opened.execute(query).fetchone()[0]
        except sqlite3.Error as problem:
            raise RecordError(f"{self.path}: {problem}") from problem


def _measured(row: tuple[Any, ...]) -> Measured:
    arrived, name, setup, camera, px, lo, hi, limit_px, relative_blur, line, evidence = row
    told = json.loads(line)
    area, taken = contract.area(told), told["exposure"]
    if area is None:
        raise ValueError(f"{name} was measured, but not where")
    return Measured(
        arrived,
        name,
        Key(setup, camera, taken["lens"], taken["f_number"]),
        area.source,
        EdgeWidth(px, lo, hi),
        limit_px,
        relative_blur,
        FrameEvidence.from_json(evidence).against,
    )
