"""The loop that joins arrivals, judge, record and alerts."""

from __future__ import annotations

import logging
import os
import queue
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tether.arrivals.source import Arrival, Renamed, Source, Watching, Whole
from tether.frame import kinds
from tether.frame.file import GONE
from tether.judge import Asked, Judged, judge, unreadable, warm
from tether.model import Judgement
from tether.session.backlog import Backlog
from tether.session.intake import Intake
from tether.session.keeper import Keeper
from tether.session.record import Entry, Record, Stamp, WatchState
from tether.settings import Settings

_log = logging.getLogger(__name__)

Told = Callable[[Judgement], None]

_TICK_S = 0.25
# A file that is gone when its turn comes may only have another name: the news of it may follow.
_RENAME_GRACE_S = 0.5


@dataclass(frozen=True, slots=True)
class _Done:
    asked: Asked
    judged: Judged


class Watch:
    """Judges what a source delivers until told to stop; `told` hears of every judged frame.

    One thread, the caller of `run`, owns the record and everything here; the workers only judge
    and the source only delivers, both through one queue.
    """

    def __init__(
        self, folder: Path, settings: Settings, source: Source, told: Sequence[Told] = ()
    ) -> None:
        # As the source names it: what arrives is looked up below it. A link stays a link.
        self.folder = folder = Path(os.path.abspath(folder))  # noqa: PTH100
        self.settings = settings
        self._source = source
        self._told = told
        self._record = Record(folder)
        self._keeper = Keeper(self._record)
        self._intake = Intake(folder, settings.watch.pair_wait_s)
        self._backlog = Backlog()
        self._inbox: queue.SimpleQueue[Arrival | _Done] = queue.SimpleQueue()
        self._pending: dict[Path, tuple[Asked, Whole]] = {}
        self._new_name: dict[Path, Path] = {}
        self._gone: dict[Path, tuple[float, Whole]] = {}
        self._state = WatchState()
        self._next_tick = 0.0

    def run(self, stop: threading.Event, passed_over: Sequence[tuple[Path, Stamp]] = ()) -> None:
        """Watch until `stop` is set; files in `passed_over` (below the folder) are left alone.

        Raises
        ------
        RecordError
            The folder's record cannot be opened at the start.
        """
        self._record.pass_over(passed_over)
        self._intake.remember(self._record.known(), self._record.raws())
        self._keeper.tell(self._state)
        warm()
        workers = [
            threading.Thread(target=self._work, name=f"judge {number}", daemon=True)
            for number in range(self.settings.watch.workers)
        ]
        for worker in workers:
            worker.start()
        self._source.start(self._inbox.put)
        try:
            while not stop.is_set():
                self._turn(_TICK_S)
        finally:
            self._source.stop()
            self._backlog.close()
            for worker in workers:
                worker.join()
            while not self._inbox.empty():
                self._turn(0)
            self._keeper.tell(replace(self._state, waiting=0, line=""))
            self._record.close()

    def _work(self) -> None:
        while (asked := self._backlog.take()) is not None:
            try:
                judged = judge(asked, self.settings)
            except Exception as problem:
                _log.exception("%s", asked.path)
                why = f"judging it failed ({type(problem).__name__}: {problem})"
                judged = Judged(unreadable(asked, why), None)
            self._inbox.put(_Done(asked, judged))

    def _turn(self, wait_s: float) -> None:
        try:
            item = self._inbox.get(timeout=wait_s) if wait_s else self._inbox.get_nowait()
        except queue.Empty:
            item = None
        if isinstance(item, Whole):
            self._whole(item)
        elif isinstance(item, Renamed):
            self._renamed(item.old, item.new)
        elif isinstance(item, Watching):
            self._watching(item)
        elif isinstance(item, _Done):
            self._done(item)
        now = time.monotonic()
        if now >= self._next_tick:
            self._next_tick = now + _TICK_S
            self._tick(now)

    def _whole(self, whole: Whole) -> None:
        if kinds.is_read(whole.path):
            self._ask(self._intake.whole(whole), whole)
            return
        picture = self._intake.raw(whole)
        if picture is not None:
            self._keeper.attach(self._intake.below(picture), self._intake.below(whole.path))

    def _ask(self, asked: Asked | None, whole: Whole) -> None:
        if asked is not None:
            self._pending[whole.path] = (asked, whole)
            self._backlog.put(asked)

    def _renamed(self, old: Path, new: Path) -> None:
        known = self._intake.renamed(old, new)
        _, gone = self._gone.pop(old, (0.0, None))
        if self._backlog.withdraw(old) is not None:
            _, gone = self._pending.pop(old)
        if gone is not None:
            self._whole(replace(gone, path=new))
        elif old in self._pending:
            self._new_name[old] = new
        elif known:
            self._keeper.rename(
                self._intake.below(old), self._intake.below(new), self._intake.name(new)
            )

    def _watching(self, item: Watching) -> None:
        _log.warning("%s", item.line)
        self._state = replace(self._state, there=item.there, line=item.line)
        if item.there:
            for _, whole in list(self._gone.values()):
                self._ask(self._intake.asked(whole), whole)
            self._gone.clear()

    def _done(self, done: _Done) -> None:
        path = done.asked.path
        asked, whole = self._pending.get(path, (None, None))
        if asked is not done.asked or whole is None:
            return  # saved anew since: the judgement of what stands there now will follow
        del self._pending[path]
        new = self._new_name.pop(path, None)
        missing = done.judged.content is None and not path.exists()
        if new is not None and missing:
            self._whole(replace(whole, path=new))
        elif missing:
            self._gone[path] = (time.monotonic() + _RENAME_GRACE_S, whole)
        else:
            self._store(done.judged, replace(whole, path=new or path))

    def _store(self, judged: Judged, whole: Whole) -> None:
        below = self._intake.below(whole.path)
        read = judged.content or (whole.size, whole.mtime_ns, None)
        stamp = Stamp(*read)
        if not self._intake.news(below, stamp):
            return
        judgement = judged.judgement
        if judgement.file != whole.path:
            judgement = replace(judgement, file=whole.path, frame=self._intake.name(whole.path))
        raw = self._intake.pairing.raw_of.get(whole.path)
        entry = Entry(judgement, below, stamp, self._intake.below(raw) if raw else None)
        why = self._keeper.keep(entry)
        if why is not None:
            said = f"not recorded yet: {why}"
            judgement = replace(judgement, error="; ".join(filter(None, (judgement.error, said))))
        for tell in self._told:
            tell(judgement)

    def _tick(self, now: float) -> None:
        for whole in self._intake.pairing.overdue(now):
            self._ask(self._intake.asked(whole), whole)
        if self.folder.is_dir():
            for path, (deadline, whole) in list(self._gone.items()):
                if deadline <= now:
                    del self._gone[path]
                    asked = self._intake.asked(whole)
                    self._store(Judged(unreadable(asked, GONE), None), whole)
        self._state = replace(self._state, waiting=len(self._pending))
        self._keeper.tell(self._state)
