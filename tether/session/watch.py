"""The loop that joins arrivals, judge, record and alerts."""

from __future__ import annotations

import logging
import queue
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from tether.arrivals.source import Adjusted, Arrival, Camera, Renamed, Source, Watching, Whole
from tether.frame import kinds
from tether.frame.file import GONE
from tether.judge import Asked, Judged, unreadable, warm
from tether.model import Judgement
from tether.session.backlog import Backlog
from tether.session.coverage import Coverage
from tether.session.doing import Doing, line_of
from tether.session.drifts import Drifts
from tether.session.fixed_areas import FixedAreas
from tether.session.intake import Intake
from tether.session.keeper import Keeper
from tether.session.next_shots import NextShots
from tether.session.placing import Placing
from tether.session.plan import Placed, Plan
from tether.session.record import Entry, Record, Stamp, WatchState
from tether.session.reference_frames import ReferenceFrames
from tether.session.roots import Roots
from tether.session.second_look import RENAME_GRACE_S, SecondLook, Told
from tether.session.wanted import Wanted
from tether.session.workers import Done, Finished, Workers
from tether.settings import Settings

_log = logging.getLogger(__name__)

Alerted = Callable[[Judgement, bool], None]
Raised = Callable[[Coverage], None]

_TICK_S = 0.25


class Watch:
    """Judges what a source delivers until told to stop.

    `alerted` hears of every frame at its verdict, and whether its setup lacks sharp frames still,
    and once more if a second look changes that; `raised` of every setup that was left so; `told` of
    a frame once it is whole: where a second look had more to see, after it. That is taken at once
    where no other frame waits for its verdict, and otherwise later, from the file anew, so that no
    pixels are kept meanwhile.
    `failing` is asked which alerts fail, in words, for the record to say; it must not wait.
    `preset` returns the settings with another preset under them, for setups that name one.
    `roots` are the folders and cameras where there are several.

    One thread, the caller of `run`, owns the record and everything here; the workers only judge
    and the source only delivers, both through one queue.
    """

    def __init__(
        self,
        folder: Path,
        settings: Settings,
        source: Source,
        told: Sequence[Told] = (),
        alerted: Sequence[Alerted] = (),
        failing: Callable[[], str] = str,
        raised: Sequence[Raised] = (),
        preset: Callable[[str], Settings] | None = None,
        roots: Roots | None = None,
    ) -> None:
        self._roots = roots = roots or Roots(folder)
        self.folder = folder = roots.home
        self.settings = settings
        self._source = source
        self._told, self._alerted, self._raised = told, alerted, raised
        self._failing = failing
        self._record = Record(folder)
        self._keeper = Keeper(self._record)
        self._intake = Intake(roots, settings.watch.pair_wait_s)
        self._backlog = Backlog()
        self._inbox: queue.SimpleQueue[Arrival | Done | Finished | Wanted] = queue.SimpleQueue()
        self._pending: dict[Path, tuple[Asked, Whole]] = {}
        self._references = ReferenceFrames(roots, self._inbox.put)
        self._drifts = Drifts(folder)
        self._new_name: dict[Path, Path] = {}
        self._gone: dict[Path, tuple[float, Whole]] = {}
        area = settings.area
        session = settings.session
        self._state = WatchState(
            smallest_px=area.smallest_px, largest_px=area.largest_px, burst_s=session.burst_s
        )
        self._doing = Doing()
        self._plan = Plan(folder, settings, preset, roots)
        self._placing = Placing(folder, self._plan, session.burst_s, by_folder=session.by_folder)
        self._anew: set[Path] = set()
        self._second_look = SecondLook(
            *(roots, self._intake, self._backlog, self._keeper, self._plan, self._drifts),
            *(self._references, self._keep, self._alert, told),
        )
        self._next_shots = NextShots(settings)
        self._next_tick = 0.0

    def run(self, stop: threading.Event) -> None:
        """Watch until `stop` is set.

        Raises
        ------
        RecordError
            The folder's record cannot be opened at the start.
        """
        self._intake.remember(self._record.known(), self._record.raws())
        self._second_look.resume(self._record)
        self._keeper.tell(self._state)
        for below, when in self._record.came().items():
            self._plan.came(below, when)
        self._placing.begin()
        self._drifts.begin()
        warm()
        areas = FixedAreas(self.folder, self._inbox.put)
        workers = Workers(
            self._backlog, self.settings, self._inbox.put, areas, self._plan, self._references
        )
        workers.start()
        self._source.start(self._inbox.put)
        try:
            while not stop.is_set():
                self._turn(_TICK_S)
        finally:
            self._source.stop()
            self._backlog.close()
            workers.join()
            while not self._inbox.empty():
                self._turn(0)
            self._second_look.end()
            stands = replace(self._state, waiting=0, line="", alerts="")
            self._keeper.tell(replace(stands, camera_there=True, camera="", before=(), drift=""))
            self._raise()
            areas.close()
            self._references.close()
            self._plan.close()
            self._placing.close()
            self._record.close()

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
        elif isinstance(item, Camera):
            self._state = self._doing.camera(item, self._state)
        elif isinstance(item, Adjusted):
            self._next_shots.adjusted(item)
        elif isinstance(item, Done):
            self._done(item)
        elif isinstance(item, Finished):
            self._second_look.finished(item)
        elif isinstance(item, Wanted):
            item.write()
        now = time.monotonic()
        if now >= self._next_tick:
            self._next_tick = now + _TICK_S
            self._tick(now)

    def _whole(self, whole: Whole) -> None:
        # What was there before, and is only seen once more, turns to no setup.
        if not self._intake.knows(whole.path):
            self._placing.arrived(self._intake.below(whole.path), whole.when.timestamp())
        if not kinds.is_raw(whole.path):
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
            self._second_look.renamed(old, new)
            self._plan.renamed(self._intake.below(old), self._intake.below(new))
            self._keeper.rename(
                self._intake.below(old), self._intake.below(new), self._intake.name(new)
            )

    def _watching(self, item: Watching) -> None:
        _log.warning("%s", line_of(item))
        self._state = self._doing.folder(item, self._state)
        if item.there:
            for _, whole in list(self._gone.values()):
                self._ask(self._intake.asked(whole), whole)
            self._gone.clear()

    def _done(self, done: Done) -> None:
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
            self._gone[path] = (time.monotonic() + RENAME_GRACE_S, whole)
        else:
            whole = replace(whole, path=new or path)
            placed = self._plan.of(self._intake.below(whole.path), whole.when.timestamp())
            # Its setup says what it is judged by, and which frame is its reference.
            if (placed.id, placed.settings) != (done.placed.id, done.placed.settings):
                self._anew.add(whole.path)
                self._ask(self._intake.asked(whole), whole)
                return
            self._store(done.judged, whole, done.asked if done.unfinished else None)

    def _store(self, judged: Judged, whole: Whole, unfinished: Asked | None = None) -> None:
        below = self._intake.below(whole.path)
        read = judged.content or (whole.size, whole.mtime_ns, None)
        stamp = Stamp(*read)
        anew = whole.path in self._anew
        self._anew.discard(whole.path)
        news = self._intake.news(below, stamp)
        if not news and not anew:
            if unfinished is not None:
                self._second_look.asked_anew(whole.path, unfinished)
            return
        judgement = judged.judgement
        if judgement.file != whole.path:
            judgement = replace(judgement, file=whole.path, frame=self._intake.name(whole.path))
        # A slate that is saved anew says what it said at its own time, not now.
        when = self._plan.came(below, judgement.arrived.timestamp())
        if judgement.slate:
            judgement = replace(judgement, advice=(self._placing.slate(judgement.slate, when),))
            self._put_right()
        placed = self._plan.of(below, when)
        judgement = self._drifts.taken(replace(judgement, setup=placed.name), placed.id)
        self._next_shots.taken(judgement)
        self._second_look.drop(whole.path)
        judgement = self._keep(judgement, stamp, unfinished=unfinished is not None)
        self._references.taken(judgement, below, placed.id)
        if unfinished is not None:
            self._second_look.add(unfinished, stamp, judgement)
        if news and not judgement.slate:
            self._alert(judgement, placed)
        if unfinished is None:
            for tell in self._told:
                tell(judgement)

    def _alert(self, judgement: Judgement, placed: Placed) -> None:
        in_danger = self._placing.uncovered(placed)
        for alert in self._alerted:
            alert(judgement, in_danger)

    def _put_right(self) -> None:
        """Have earlier frames belong where the turns say now, judged as their setup asks."""
        for one in self._placing.put_right():
            path = self.folder / one.below
            try:
                stands = path.stat()
            except OSError:
                continue  # gone: its verdict of before is all there will be
            when = datetime.fromtimestamp(one.arrived).astimezone()
            whole = Whole(path, stands.st_size, stands.st_mtime_ns, time.monotonic(), when)
            self._anew.add(path)
            self._ask(self._intake.asked(whole), whole)

    def _raise(self) -> None:
        for setup in self._placing.reshoots(self._waiting_setups):
            for tell in self._raised:
                tell(setup)

    def _waiting_setups(self) -> set[int | None]:
        return {
            self._plan.of(self._intake.below(path), whole.when.timestamp()).id
            for path, (_, whole) in self._pending.items()
        }

    def _keep(self, judgement: Judgement, stamp: Stamp, *, unfinished: bool = False) -> Judgement:
        """Record a judgement; should that fail, what is told of the frame says so."""
        raw = self._intake.pairing.raw_of.get(judgement.file)
        below_raw = self._intake.below(raw) if raw else None
        below = self._intake.below(judgement.file)
        setup = self._plan.of(below, judgement.arrived.timestamp()).id
        why = self._keeper.keep(Entry(judgement, below, stamp, below_raw, unfinished, setup))
        if why is None:
            return judgement
        said = f"not recorded yet: {why}"
        return replace(judgement, error="; ".join(filter(None, (judgement.error, said))))

    def _tick(self, now: float) -> None:
        for whole in self._intake.pairing.overdue(now):
            self._ask(self._intake.asked(whole), whole)
        self._put_right()
        # While their folder is away, files are not gone for good.
        for path, (deadline, whole) in list(self._gone.items()):
            if deadline <= now and self._roots.there(path):
                del self._gone[path]
                asked = self._intake.asked(whole)
                if path.exists():  # its folder is back, before anybody has said so
                    self._ask(asked, whole)
                else:
                    self._store(Judged(unreadable(asked, GONE), None), whole)
        self._second_look.tick(now)
        self._state = replace(
            self._state,
            waiting=len(self._pending),
            before=self._next_shots.concerns,
            drift=self._drifts.line,
            alerts=self._failing(),
        )
        self._keeper.tell(self._state)
        self._raise()
