"""Puts frames where they belong, and keeps the reshoots true; the watch's own thread alone uses it.

Frames are judged newest first, so that a slate may be read after the frames that follow it: these
are put right then, and judged anew where their setup is judged by other settings.
"""

from __future__ import annotations

import json
import logging
import os
from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path

from tether.plain import plain
from tether.session import reshoots, turns
from tether.session.coverage import Coverage, coverage
from tether.session.plan import Placed, Plan
from tether.session.reader import Reader
from tether.session.schema import RecordError
from tether.session.setups import SetupError
from tether.session.shot_list.cells import NEXT
from tether.session.shot_list.spelling import folded
from tether.session.turns import Turns
from tether.session.writing import Writing, next_revision
from tether.settings import Settings

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Again:
    """A frame to be judged anew: its file as the record names it; `arrived` in s since 1970."""

    below: Path
    arrived: float


class Placing:
    """What frames, slates and turns make of the session.

    Parameters
    ----------
    folder
        The session's.
    plan
        The shot list and the turns, shared with whoever judges.
    burst_s
        Frames not farther apart are one try.
    by_folder
        Whether every folder in the session's own is a setup.
    """

    def __init__(self, folder: Path, plan: Plan, burst_s: float, *, by_folder: bool) -> None:
        self._folder = folder
        self._plan = plan
        self._burst_s = burst_s
        self._by_folder = by_folder
        self._record = _Table(folder)
        self._placed_by = Turns([])
        self._reader = Reader(folder)
        self._looked = -1
        self._unsaved: list[tuple[str, float, str]] = []

    def begin(self) -> None:
        """Take what the record says as it is."""
        self._plan.renew()
        self._placed_by = self._plan.turns

    def arrived(self, below: Path, when: float) -> None:
        """A frame has come: in a folder that is a setup, it turns to that setup."""
        inside = self._plan.inside(below)
        own = inside.parts[0] if len(inside.parts) > 1 else ""
        if self._by_folder and own and not self._plan.names(own):
            self._turn(own, when, "folder")
            return
        placed = self._plan.of(below, when)
        if placed.by_folder and placed.name is not None and self._plan.turns.now != placed.id:
            self._turn(placed.name, when, "folder")

    def slate(self, code: str, when: float) -> str:
        """A slate has come; what came of it, in words."""
        try:
            if folded(code) == NEXT:
                following = turns.turn_on(self._folder, "slate", when)
                return f"slate: opens {plain(following.setup.name)}, the next on the shot list"
            turned = turns.turn_to(self._folder, code, "slate", when)
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

    def put_right(self) -> list[Again]:
        """Have every frame belong where the turns say now; which are to be judged anew."""
        for one in list(self._unsaved):
            self._unsaved.remove(one)
            self._turn(*one)
        self._plan.renew()
        since = self._plan.turns.differ_from(self._placed_by)
        if since is None:
            return []
        try:
            again = self._record.place(since, self._plan.of, self._plan.settings)
        except RecordError as problem:
            _log.info("%s", problem)
            return []
        self._placed_by = self._plan.turns
        return again

    def uncovered(self, placed: Placed) -> bool:
        """Whether the setup lacks sharp frames; where there is no setup, every frame counts."""
        if placed.id is None:
            return True
        try:
            found = self._record.covered(self._burst_s, {placed.id})
        except RecordError:
            return True
        return not found or not found[0].covered

    def reshoots(self, waiting: Callable[[], Collection[int | None]]) -> list[Coverage]:
        """Raise and close them where something has changed; for which setups one was raised.

        `waiting` tells the setups whose frames still wait for their verdict.
        """
        try:
            last = self._reader.last_change()
            if last == self._looked:
                return []
            pending = waiting()
            raised = self._record.reconcile(self._burst_s, self._plan.turns, pending)
        except RecordError as problem:
            _log.info("%s", problem)
            return []
        # What waits may raise one once it has its verdict: look again then.
        self._looked = -1 if pending else last
        return raised

    def close(self) -> None:
        """Let go of the record."""
        self._reader.close()
        self._record.close()

    def _turn(self, name: str, when: float, by: str) -> None:
        try:
            if folded(name) == NEXT:
                turns.turn_on(self._folder, by, when)
            else:
                turns.turn_to(self._folder, name, by, when)
        except SetupError as problem:
            _log.warning("%s is no setup: %s", plain(name), problem)
        except RecordError as problem:
            _log.info("%s", problem)
            self._unsaved.append((name, when, by))


class _Table(Writing):
    def place(
        self,
        since: float,
        of: Callable[[Path, float], Placed],
        settings: Callable[[int | None], Settings],
    ) -> list[Again]:
        again: list[Again] = []
        with self._transaction() as opened:
            rows = opened.execute(
                "SELECT id, path, arrived, setup, line FROM frames WHERE arrived >= ?", (since,)
            ).fetchall()
            for number, path, arrived, setup, line in rows:
                below = Path(os.fsdecode(path))
                placed = of(below, arrived)
                if placed.id == setup:
                    continue
                if settings(setup) != placed.settings:
                    again.append(Again(below, arrived))
                told = json.dumps({**json.loads(line), "setup": placed.name})
                opened.execute(
                    "UPDATE frames SET setup = ?, line = ?, revision = ? WHERE id = ?",
                    (placed.id, told, next_revision(opened), number),
                )
        return again

    def covered(self, burst_s: float, only: Collection[int]) -> list[Coverage]:
        with self._transaction() as opened:
            return coverage(opened, burst_s, only)

    def reconcile(
        self, burst_s: float, turned: Turns, waiting: Collection[int | None]
    ) -> list[Coverage]:
        with self._transaction() as opened:
            if not turned.been:
                return []
            found = coverage(opened, burst_s, turned.been)
            return reshoots.reconcile(opened, turned, found, waiting)
