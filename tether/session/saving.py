"""What is to go into the record: written at once, or as soon as that can be done."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

from tether.frame.file import FileIdentity
from tether.model import Judgement
from tether.session.frame_in_hand import FileInHand, FrameInHand
from tether.session.frames import Frames
from tether.session.frames_in_hand import Changes
from tether.session.record import Entry, Place, Record, WatchState
from tether.session.roots import Roots
from tether.session.schema import RecordError

_log = logging.getLogger(__name__)

# Some 20 kB each. Past this the oldest are let go: not being recorded, the next start judges them.
_MOST_KEPT = 2000


class Saving:
    """Writes frames in the order of their verdicts; for the watch's own thread alone.

    What cannot be written now is written later, as the frame is by then.
    """

    def __init__(self, record: Record, roots: Roots, frames: Frames) -> None:
        self._record, self._roots, self._frames = record, roots, frames
        self._judged: dict[int, tuple[FrameInHand, Judgement, bool]] = {}
        self._renewed: dict[int, FrameInHand] = {}
        self._steps: list[Callable[[], None]] = []
        self._name, self._opened = "", 0
        self._state: WatchState | None = None
        self._told: WatchState | None = None

    def keep(self, frame: FrameInHand, judgement: Judgement, *, unfinished: bool) -> str | None:
        """Record a judgement; the reason if that cannot be done now."""
        self._judged.pop(frame.number, None)
        self._judged[frame.number] = frame, judgement, unfinished
        if len(self._judged) > _MOST_KEPT:
            del self._judged[next(iter(self._judged))]
        return self.flush()

    def take(self, changes: Changes) -> None:
        """Have the record follow what became of files."""
        for number in changes.withdraw:
            self._judged.pop(number, None)
            self._renewed.pop(number, None)
        for row in changes.remove:
            self._steps.append(partial(self._record.remove, row))
        if changes.passed_over:
            moves = [
                (self._roots.below(was), self._roots.below(file.path), file.identity)
                for was, file in changes.passed_over
            ]
            self._steps.append(partial(self._record.move_passed_over, moves))
        self._renewed.update(changes.renew)

    def renew(self, frame: FrameInHand) -> None:
        """Have the record say where a frame's file lies now, and what it is."""
        self._renewed[frame.number] = frame
        self.flush()

    def told(self, frame: FrameInHand) -> None:
        """Note that an unfinished frame was told as it stands."""
        self._of_row(frame, self._record.told)

    def finish(self, frame: FrameInHand) -> None:
        """Leave a frame as it stands: the rest of it will not be looked at."""
        if frame.number in self._judged:
            self._judged[frame.number] = (*self._judged[frame.number][:2], False)
        self._of_row(frame, self._record.finish)

    def tell(self, state: WatchState) -> None:
        """Have the record say how the watch is doing, as soon as it can be written."""
        self._state = state
        self.flush()

    def flush(self) -> str | None:
        """Write what is not written yet; the reason if that still cannot be done."""
        try:
            self._look_for_another_record()
            while self._steps:
                with _dropped_if_wrong(self._steps, 0):
                    self._steps[0]()
                del self._steps[0]
            for number, (frame, judgement, unfinished) in list(self._judged.items()):
                # One whose place another has may turn up elsewhere yet.
                if not self._frames.has_its_place(frame):
                    continue
                with _dropped_if_wrong(self._judged, number):
                    row = self._record.add(self._entry(frame, judgement, unfinished=unfinished))
                del self._judged[number]
                self._renewed.pop(number, None)
                self._frames.recorded(frame, row)
            while self._renewed:
                number, frame = next(iter(self._renewed.items()))
                if frame.row is not None and self._frames.has_its_place(frame):
                    self._record.renew(self._place(frame, frame.row))
                del self._renewed[number]
            if self._state is not None and self._state != self._told:
                self._record.tell(self._state)
                self._told = self._state
        except RecordError as problem:
            _log.info("%s", problem)
            return str(problem)
        return None

    def _look_for_another_record(self) -> None:
        """What the rows of one record were means nothing in another, made anew in its place."""
        self._record.open()
        if self._opened != self._record.openings:
            name = self._record.name()
            if self._name and name != self._name:
                self._steps.clear()
                self._frames.forget_rows()
            self._name, self._opened = name, self._record.openings

    def _of_row(self, frame: FrameInHand, step: Callable[[int], None]) -> None:
        def taken() -> None:
            if frame.row is not None:
                step(frame.row)

        self.flush()
        self._steps.append(taken)
        self.flush()

    def _entry(self, frame: FrameInHand, judgement: Judgement, *, unfinished: bool) -> Entry:
        return Entry(
            judgement,
            self._roots.below(frame.path),
            frame.file.identity,
            frame.digest,
            tuple(map(self._as_recorded, frame.raws)),
            unfinished,
            frame.setup,
            frame.came,
            frame.row,
        )

    def _place(self, frame: FrameInHand, row: int) -> Place:
        return Place(
            row,
            self._roots.below(frame.path),
            self._roots.name(frame.path),
            frame.file.identity,
            tuple(map(self._as_recorded, frame.raws)),
        )

    def _as_recorded(self, file: FileInHand) -> tuple[Path, FileIdentity]:
        return self._roots.below(file.path), file.identity


@contextmanager
def _dropped_if_wrong(waiting: Any, which: int) -> Iterator[None]:
    """What cannot be written for a reason of its own must not keep all that follows waiting."""
    try:
        yield
    except RecordError:
        raise
    except Exception:
        del waiting[which]
        raise
