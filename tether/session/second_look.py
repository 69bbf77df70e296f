"""Frames' second look: what comes of it is recorded and told, whatever happened meanwhile."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from tether.judge import Asked
from tether.model import Judgement
from tether.session.backlog import Backlog, Later
from tether.session.drifts import Drifts
from tether.session.intake import Intake
from tether.session.keeper import Keeper
from tether.session.plan import Placed, Plan
from tether.session.record import Record, Stamp
from tether.session.reference_frames import ReferenceFrames
from tether.session.roots import Roots
from tether.session.unfinished import Unfinished, UnfinishedFrames
from tether.session.workers import Finished

Told = Callable[[Judgement], None]
Keep = Callable[[Judgement, Stamp], Judgement]
Alert = Callable[[Judgement, Placed], None]

# A file that is gone when its turn comes may only have another name: the news of it may follow.
RENAME_GRACE_S = 0.5


class SecondLook:
    """Frames that have their verdict and whose rest a worker looks at; each is told once.

    The watch's own thread alone uses it. `keep` records a judgement and returns it as it is to be
    told. `alert` hears of a verdict that the second look changed.
    """

    def __init__(
        self,
        roots: Roots,
        intake: Intake,
        backlog: Backlog,
        keeper: Keeper,
        plan: Plan,
        drifts: Drifts,
        references: ReferenceFrames,
        keep: Keep,
        alert: Alert,
        told: Sequence[Told],
    ) -> None:
        self._roots, self._intake, self._backlog = roots, intake, backlog
        self._keeper, self._plan, self._drifts = keeper, plan, drifts
        self._references = references
        self._keep, self._alert, self._told = keep, alert, told
        self._frames = UnfinishedFrames()
        self._missing: list[tuple[float, Asked]] = []

    def resume(self, record: Record) -> None:
        """Take up what an earlier watch left."""
        for left in reversed(record.unfinished()):
            asked = self._frames.resume(left, self._roots)
            self._backlog.put_later(Later(asked, left.stamp.digest))

    def add(self, asked: Asked, stamp: Stamp, judgement: Judgement) -> None:
        """Note a frame that has just got its verdict."""
        self._frames.add(asked, stamp, judgement)

    def asked_anew(self, path: Path, asked: Asked) -> None:
        """Count the answer to this question: the file was saved again unchanged."""
        self._frames.asked_anew(path, asked)

    def renamed(self, old: Path, new: Path) -> None:
        """Follow a file to its new name."""
        self._frames.renamed(old, new)

    def drop(self, path: Path) -> None:
        """Forget a frame: its file was saved anew."""
        self._frames.drop(path)

    def finished(self, done: Finished) -> None:
        """Take in what a worker says."""
        one = self._frames.answered(done.asked)
        if one is None:
            return  # saved anew since: the judgement of what stands there now is another's
        if done.judgement is None:
            if one.path != done.asked.path or one.path.exists():
                self._not_seen(done.asked)
            else:
                self._missing.append((time.monotonic() + RENAME_GRACE_S, done.asked))
            return
        self._frames.drop(one.path)
        judgement = one.finished(done.judgement, self._intake.name(one.path))
        below = self._intake.below(one.path)
        placed = self._plan.of(below, one.arrived.timestamp())
        judgement = self._drifts.taken(replace(judgement, setup=placed.name), placed.id)
        judgement = self._keep(judgement, one.stamp)
        # Compared only now, or on another area than before: now it is known how sharp it is.
        self._references.taken(judgement, below, placed.id)
        if one.stands is not None and judgement.verdict is not one.stands.verdict:
            self._alert(judgement, placed)
        self._tell(one, judgement)

    def tick(self, now: float) -> None:
        """Give up on files that are gone for good; while their folder is away, none is."""
        for one in list(self._missing):
            if one[0] <= now and self._roots.there(one[1].path):
                self._missing.remove(one)
                self._not_seen(one[1], was_gone=True)

    def end(self) -> None:
        """Tell frames whose turn did not come as they stand: the next watch finishes them."""
        for one in self._frames:
            self._tell(one, one.stands)
            if one.stands is not None:
                self._keeper.told(self._intake.below(one.path))

    def _not_seen(self, asked: Asked, *, was_gone: bool = False) -> None:
        """Look at a frame again if its file has another name or is back, else leave it."""
        one = self._frames.answered(asked)
        if one is None:
            return
        if one.path != asked.path or (was_gone and one.path.exists()):
            self._backlog.put_later(Later(self._frames.ask_again(one), one.stamp.digest))
            return
        self._frames.drop(one.path)
        self._keeper.finish(self._intake.below(one.path))
        self._tell(one, one.stands)

    def _tell(self, one: Unfinished, judgement: Judgement | None) -> None:
        if judgement is not None and not one.told:
            for tell in self._told:
                tell(judgement)
