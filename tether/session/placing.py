"""Puts frames where they belong, and keeps the reshoots true; the watch's own thread alone uses it.

Frames are judged newest first, so that a slate may be read after the frames that follow it: these
are put right then, and judged anew where their setup is judged by other settings.
"""

from __future__ import annotations

import json
import logging
import os
import sqlite3
from collections.abc import Container
from dataclasses import dataclass
from pathlib import Path

from tether.plain import plain
from tether.session import reshoots, tries, turns
from tether.session.coverage import Coverage, coverage
from tether.session.plan import Placed, Plan
from tether.session.reader import Reader
from tether.session.schema import RecordError
from tether.session.setups import SetupError
from tether.session.shot_list.cells import NEXT
from tether.session.shot_list.spelling import folded
from tether.session.turns import Span, Turns
from tether.session.writing import Writing, next_revision

_log = logging.getLogger(__name__)


class Placing:
    """What frames, slates and turns make of the session.

    Parameters
    ----------
    record
        The session's; the watch's own writing end.
    plan
        The shot list and the turns, shared with whoever judges.
    burst_s
        Frames not farther apart are one try.
    by_folder
        Whether every folder in the session's own is a setup.
    """

    def __init__(self, record: Writing, plan: Plan, burst_s: float, *, by_folder: bool) -> None:
        self._record = record
        self._plan = plan
        self._burst_s = burst_s
        self._by_folder = by_folder
        self._placed_by = self._turned_by = Turns()
        self._reader = Reader(record.folder)
        self._looked = -1
        self._look_again: set[int] = set()
        self._unsaved: list[tuple[str, float, str]] = []

    def begin(self) -> None:
        """Take what the record says as it is."""
        self._plan.renew()
        self._placed_by = self._plan.turns
        with self._record.transaction() as opened:
            tries.count_by(opened, self._burst_s)

    def arrived(self, path: Path, when: float) -> None:
        """A frame has come: in a folder that is a setup, it turns to that setup."""
        inside = self._plan.inside(path)
        own = inside.parts[0] if len(inside.parts) > 1 else ""
        if self._by_folder and own and not self._plan.names(own):
            self._turn(own, when, "folder")
            return
        placed = self._plan.of(path, when)
        if placed.by_folder and placed.name is not None and self._plan.turns.now != placed.id:
            self._turn(placed.name, when, "folder")

    def slate(self, code: str, when: float) -> str:
        """A slate has come; what came of it, in words."""
        try:
            if folded(code) == NEXT:
                following = turns.turn_on(self._record, "slate", when)
                return f"slate: opens {plain(following.setup.name)}, the next on the shot list"
            turned = turns.turn_to(self._record, code, "slate", when)
        except SetupError as problem:
            return f"slate not used: {problem}"
        except RecordError as problem:
            _log.info("%s", problem)
            self._unsaved.append((code, when, "slate"))
            return f"slate: {plain(code)}, once the record can be written"
        name = plain(turned.listed.setup.name)
        if turned.opened:
            return f"slate: opens {name}, which was not on the shot list"
        return f"slate: opens {name}"

    def put_right(self) -> PutRight | None:
        """Have every frame belong where the turns say now; None where nothing has changed."""
        for one in list(self._unsaved):
            self._unsaved.remove(one)
            self._turn(*one)
        self._plan.renew()
        span = self._plan.turns.differ_from(self._placed_by)
        if span is None:
            return None
        try:
            with self._record.transaction() as opened:
                again = _place(opened, span, self._plan)
        except RecordError as problem:
            _log.info("%s", problem)
            return None
        self._placed_by = self._plan.turns
        return PutRight(span, again)

    def uncovered(self, placed: Placed) -> bool:
        """Whether the setup lacks sharp frames; where there is no setup, every frame counts."""
        if placed.id is None:
            return True
        try:
            with self._record.transaction() as opened:
                found = coverage(opened, {placed.id})
        except RecordError:
            return True
        return not found or not found[0].covered

    def reshoots(self, waiting: Container[int | None]) -> list[Coverage]:
        """Raise and close them where something has changed; for which setups one was raised.

        `waiting` holds the setups whose frames still wait for their verdict.
        """
        self._plan.renew()
        turned = self._plan.turns
        ready = {one for one in self._look_again if one not in waiting}
        try:
            last = self._reader.last_change()
            if (last == self._looked and not ready) or not turned.been:
                return []
            touched = ready | self._touched(turned)
            with self._record.transaction() as opened:
                found = coverage(opened, touched & turned.been)
                raised = reshoots.reconcile(opened, turned, found, waiting)
                # Its own changes are no news.
                last = int(opened.execute("SELECT last FROM revisions").fetchone()[0])
        except RecordError as problem:
            _log.info("%s", problem)
            return []
        # What waits may raise one once it has its verdict: look again then.
        self._look_again = {one for one in (self._look_again | touched) if one in waiting}
        self._looked, self._turned_by = last, turned
        return raised

    def close(self) -> None:
        """Let go of the record."""
        self._reader.close()

    def _touched(self, turned: Turns) -> set[int]:
        """Setups whose frames, needs or turns have changed since the last look."""
        if self._looked < 0:
            return set(turned.been)
        span = turned.differ_from(self._turned_by)
        left = set(span.setups) if span is not None else set()
        left |= {self._turned_by.now, turned.now} if span is not None else set()
        return {one for one in left if one is not None} | self._reader.setups_touched(self._looked)

    def _turn(self, name: str, when: float, by: str) -> None:
        try:
            if folded(name) == NEXT:
                turns.turn_on(self._record, by, when)
            else:
                turns.turn_to(self._record, name, by, when)
        except SetupError as problem:
            _log.warning("%s is no setup: %s", plain(name), problem)
        except RecordError as problem:
            _log.info("%s", problem)
            self._unsaved.append((name, when, by))


@dataclass(frozen=True, slots=True)
class PutRight:
    """Frames that came in this span belong elsewhere; ids of those to be judged anew."""

    span: Span
    again: tuple[int, ...]


def _place(opened: sqlite3.Connection, span: Span, plan: Plan) -> tuple[int, ...]:
    """Have the frames of a span belong where the plan says; which are judged by other settings."""
    again = []
    rows = opened.execute(
        "SELECT id, path, came, setup, line FROM frames WHERE came >= ? AND came < ?",
        (span.since, span.until),
    ).fetchall()
    for number, path, came, setup, line in rows:
        placed = plan.of(Path(os.fsdecode(path)), came)
        if placed.id == setup:
            continue
        if plan.settings(setup) != placed.settings:
            again.append(number)
        before = tries.position(opened, number)
        told = json.dumps({**json.loads(line), "setup": placed.name})
        opened.execute(
            "UPDATE frames SET setup = ?, line = ?, revision = ? WHERE id = ?",
            (placed.id, told, next_revision(opened), number),
        )
        tries.moved(opened, before, tries.position(opened, number))
    return tuple(again)
