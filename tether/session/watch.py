"""The loop that joins arrivals, judge, record and alerts."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path

from tether.arrivals.source import Adjusted, Arrival, Camera, Source, Vanished, Watching, Whole
from tether.frame.file import GONE
from tether.judge import Judged, unreadable, warm
from tether.model import Judgement
from tether.session import remembered
from tether.session.backlog import Backlog
from tether.session.coverage import Coverage
from tether.session.doing import Doing, line_of
from tether.session.drifts import Drifts
from tether.session.fixed_areas import FixedAreas
from tether.session.frame_in_hand import FrameInHand, State
from tether.session.frames import MOST_MISSES, Frames
from tether.session.inbox import Inbox
from tether.session.next_shots import NextShots
from tether.session.placing import Placing
from tether.session.plan import Placed, Plan
from tether.session.record import Record, WatchState
from tether.session.reference_frames import ReferenceFrames
from tether.session.roots import Roots
from tether.session.saving import Saving
from tether.session.second_look import SecondLook
from tether.session.wanted import Wanted
from tether.session.workers import Begun, Done, Finished, Workers
from tether.settings import Settings

_log = logging.getLogger(__name__)

Told = Callable[[Judgement], None]
Alerted = Callable[[Judgement, bool], None]
Raised = Callable[[Coverage], None]
Item = Arrival | Begun | Done | Finished | Wanted

_TICK_S = 0.25
_LOCKED_S = 0.25
"""How long a verdict may wait for another program that writes to the record, s."""


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
    and the source only delivers, both through one queue. Whatever goes wrong with one item of it
    costs that frame its verdict at most.
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
        self._frames = Frames(roots, settings.watch.pair_wait_s)
        self._saving = Saving(self._record, roots, self._frames)
        self._backlog = Backlog()
        self._inbox: Inbox[Item] = Inbox()
        self._references = ReferenceFrames(roots, self._record, self._inbox.put)
        self._drifts = Drifts(folder)
        self._areas = FixedAreas(self._record, self._inbox.put)
        area, session = settings.area, settings.session
        self._state = WatchState(
            smallest_px=area.smallest_px, largest_px=area.largest_px, burst_s=session.burst_s
        )
        self._doing = Doing()
        self._plan = Plan(folder, settings, preset, roots)
        self._placing = Placing(
            self._record, self._plan, session.burst_s, by_folder=session.by_folder
        )
        self._second_look = SecondLook(
            self._frames, self._backlog, self._saving, self._looked_through, self._tell_whole
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
        with ExitStack() as ending:
            # One by one: of 50,000 the interpreter's collector would make two seconds of its end.
            ending.callback(self._backlog.clear)
            ending.callback(self._frames.clear)
            # Whatever fails, here or at the end, all that was begun is ended.
            for one in (self._record, self._placing, self._plan, self._references, self._areas):
                ending.callback(partial(_guarded, one.close))
            self._begin()
            workers = Workers(
                *(self._backlog, self.settings, self._inbox.put),
                *(self._areas, self._plan, self._references),
            )
            ending.callback(partial(_guarded, self._end))
            workers.start()
            ending.callback(workers.end)
            ending.callback(self._backlog.close)
            ending.callback(partial(_guarded, self._source.stop))
            self._source.start(self._inbox.put, self._frames.known())
            while not stop.is_set():
                self._turn(_TICK_S)

    def _begin(self) -> None:
        frames = [
            remembered.frame(one, self._frames.number(), self._roots)
            for one in self._record.frames()
        ]
        passed_over = self._record.passed_over()
        self._frames.remember(
            frames, [remembered.file(path, file, self._roots) for path, file in passed_over]
        )
        self._second_look.resume(frames)
        self._saving.tell(self._state)
        self._placing.begin()
        self._drifts.begin()
        self._record.wait_at_most(_LOCKED_S)
        warm()

    def _end(self) -> None:
        for item in self._inbox.rest():
            # What has arrived and waits is found again by the next start.
            if isinstance(item, Begun | Done | Finished | Wanted):
                self._handle(item)
        self._settle()
        self._second_look.end()
        stands = replace(self._state, waiting=0, line="", alerts="")
        self._saving.tell(replace(stands, camera_there=True, camera="", before=(), drift=""))
        self._raise()

    def _turn(self, wait_s: float) -> None:
        item = self._inbox.take(wait_s)
        if item is not None:
            self._handle(item)
        now = time.monotonic()
        if now >= self._next_tick:
            self._next_tick = now + _TICK_S
            steps = self._frames.tick, self._second_look.tick, self._put_right
            for step in (*steps, self._show, self._raise):
                _guarded(step)
        _guarded(self._settle)

    def _handle(self, item: Item) -> None:
        try:
            self._take(item)
        except Exception as problem:
            _log.exception("taking in a %s failed", type(item).__name__)
            if isinstance(item, Whole):
                self._fail(self._frames.at(item), problem)
            elif isinstance(item, Done | Finished):
                self._fail(self._frames.asked(item.asked), problem)

    def _take(self, item: Item) -> None:
        match item:
            case Whole():
                # What was there before, and is only seen once more, turns to no setup.
                if self._frames.seen(item):
                    self._placing.arrived(item.path, item.when.timestamp())
            case Vanished(path):
                self._frames.vanished(path)
            case Begun(asked):
                self._frames.begun(asked)
            case Done():
                self._done(item)
            case Finished():
                self._second_look.finished(item)
            case Wanted(write):
                write()
            case Watching():
                _log.warning("%s", line_of(item))
                self._state = self._doing.folder(item, self._state)
            case Camera():
                self._state = self._doing.camera(item, self._state)
            case Adjusted():
                self._next_shots.adjusted(item)

    def _fail(self, frame: FrameInHand | None, problem: Exception) -> None:
        """A frame that something went wrong with is unjudged, with the reason."""
        if frame is None or not self._frames.failed(frame):
            return
        why = f"taking it in failed ({type(problem).__name__}: {problem})"
        judgement = unreadable(self._frames.question(frame), why)
        _guarded(partial(self._saving.keep, frame, judgement, unfinished=False))
        self._tell_whole(frame, judgement)

    def _for_each(
        self, frames: Iterable[FrameInHand], step: Callable[[FrameInHand], object]
    ) -> None:
        """Do a step for each frame; one that it fails for is unjudged."""
        for frame in frames:
            try:
                step(frame)
            except Exception as problem:
                _log.exception("%s", frame.path)
                self._fail(frame, problem)

    def _settle(self) -> None:
        """Do what follows from what has happened to files."""
        changes = self._frames.changes()
        for number in changes.withdraw:
            self._backlog.withdraw(number)
        self._for_each(
            (one for one in changes.renew.values() if one.number not in changes.ask), self._reword
        )
        self._for_each(changes.ask.values(), self._queue)
        self._saving.take(changes)
        self._second_look.take(changes)
        self._for_each(changes.gone, self._store_gone)
        if changes.remove or changes.renew or changes.passed_over:
            self._saving.flush()

    def _reword(self, frame: FrameInHand) -> None:
        """Have a frame that waits be looked for where its file lies now."""
        if frame.state is State.WAITING:
            asked = self._frames.question(frame)
            if self._backlog.renew(asked):
                frame.question = asked

    def _queue(self, frame: FrameInHand) -> None:
        if frame.state is State.WAITING and frame.question is not None:
            self._frames.place(frame, self._plan.of(frame.path, frame.came).id)
            self._backlog.put(frame.question)

    def _store_gone(self, frame: FrameInHand) -> None:
        asked = self._frames.question(frame)
        self._store(frame, Judged(unreadable(asked, GONE), None), unfinished=False)

    def _done(self, done: Done) -> None:
        frame = self._frames.asked(done.asked)
        if frame is None:
            return  # saved anew since: the judgement of what stands there now will follow
        # What is never the file that was seen, however often it is asked for, is unreadable.
        missed = done.judged.missed and frame.misses < MOST_MISSES
        if missed or not self._frames.has_its_place(frame):
            self._frames.missed(frame)
            return
        placed = self._plan.of(frame.path, frame.came)
        # Its setup says what it is judged by, and which frame is its reference.
        if (placed.id, placed.settings) != (done.placed.id, done.placed.settings):
            self._frames.ask(frame, again=frame.again)
            return
        self._store(frame, done.judged, unfinished=done.unfinished)

    def _store(self, frame: FrameInHand, judged: Judged, *, unfinished: bool) -> None:
        again, outcome = frame.again, self._frames.judged(frame, judged.digest)
        frame.again = False
        if not outcome.news and not again and unfinished is outcome.pending:
            self._frames.settled(frame, looked_through=not unfinished)
            self._saving.renew(frame)
            if unfinished:
                self._second_look.resume([frame], looked_at=True)
            return
        judgement = self._named(frame, judged.judgement)
        # A slate that is saved anew says what it said at its own time, not now.
        if judgement.slate:
            advice = self._placing.slate(judgement.slate, frame.came)
            judgement = replace(judgement, advice=(advice,))
            self._put_right()
        placed = self._plan.of(frame.path, frame.came)
        self._frames.place(frame, placed.id)
        judgement = self._drifts.taken(replace(judgement, setup=placed.name), placed.id)
        self._next_shots.taken(judgement)
        judgement = self._keep(frame, judgement, unfinished=unfinished)
        self._frames.settled(frame, looked_through=not unfinished)
        self._may_be_reference(frame, judgement, placed)
        if unfinished:
            self._second_look.begin(frame, judgement)
        if outcome.news and not judgement.slate and not frame.quiet:
            self._alert(judgement, placed)
        if not unfinished:
            self._tell_whole(frame, judgement)

    def _looked_through(self, frame: FrameInHand, judgement: Judgement) -> None:
        """A frame has had its second look, which may have changed its verdict."""
        before, told = frame.stands, frame.told
        self._frames.settled(frame, looked_through=True)
        placed = self._plan.of(frame.path, frame.came)
        judgement = replace(self._named(frame, judgement), setup=placed.name)
        judgement = self._drifts.taken(judgement, placed.id)
        judgement = self._keep(frame, judgement, unfinished=False)
        # Compared only now, or on another area than before: now it is known how sharp it is.
        self._may_be_reference(frame, judgement, placed)
        another = before is not None and before.verdict is not judgement.verdict
        if another and not frame.quiet:
            self._alert(judgement, placed)
        if another or not told:
            self._tell_whole(frame, judgement)

    def _named(self, frame: FrameInHand, judgement: Judgement) -> Judgement:
        """A judgement under the name that the frame's file has now."""
        path, roots = frame.path, self._roots
        if judgement.file == path:
            return judgement
        return replace(judgement, file=path, frame=roots.name(path), camera=roots.camera(path))

    def _keep(self, frame: FrameInHand, judgement: Judgement, *, unfinished: bool) -> Judgement:
        """Record a judgement; should that fail, what is told of the frame says so."""
        why = self._saving.keep(frame, judgement, unfinished=unfinished)
        if why is None:
            return judgement
        said = f"not recorded yet: {why}"
        return replace(judgement, error="; ".join(filter(None, (judgement.error, said))))

    def _may_be_reference(self, frame: FrameInHand, judgement: Judgement, placed: Placed) -> None:
        if frame.row is not None:
            _guarded(partial(self._references.taken, judgement, frame.row, placed.id))

    def _alert(self, judgement: Judgement, placed: Placed) -> None:
        in_danger = self._placing.uncovered(placed)
        for alert in self._alerted:
            _guarded(partial(alert, judgement, in_danger))

    def _tell_whole(self, frame: FrameInHand, judgement: Judgement) -> None:
        frame.told = True
        for tell in self._told:
            _guarded(partial(tell, judgement))

    def _put_right(self) -> None:
        """Have earlier frames belong where the turns say now, judged as their setup asks."""
        found = self._placing.put_right()
        if found is None:
            return
        for frame in self._frames.waiting_since(found.span.since, found.span.until):
            self._frames.place(frame, self._plan.of(frame.path, frame.came).id)
        for row in found.again:
            again = self._frames.of_row(row)
            # One that is gone keeps its verdict of before.
            if again is not None and again.file.there and again.state is not State.JUDGED:
                self._frames.ask(again, again=True)

    def _raise(self) -> None:
        for setup in self._placing.reshoots(self._frames.waiting):
            for tell in self._raised:
                _guarded(partial(tell, setup))

    def _show(self) -> None:
        """Have the record say how the watch is doing."""
        self._state = replace(
            self._state,
            waiting=self._frames.waiting.total(),
            before=self._next_shots.concerns,
            drift=self._drifts.line,
            alerts=self._failing(),
        )
        self._saving.tell(self._state)


def _guarded(step: Callable[[], object]) -> None:
    """Do a step; what it raises is logged, and costs nothing else."""
    try:
        step()
    except Exception:
        _log.exception("a step of the watch failed")
