"""The frames in hand: by number, by row, those that wait or are lost, and what changed of them."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from tether.asked import Asked
from tether.session.exposures import Exposures
from tether.session.files_in_hand import FilesInHand
from tether.session.frame_in_hand import FileInHand, FrameInHand, State
from tether.session.roots import Roots

GRACE_S = 0.5
"""A file that is not where it was may only have another name: the news of it may follow."""

MISSES = 3
"""So often a worker may find a file of another inode before inodes count for nothing."""


@dataclass(slots=True)
class Changes:
    """What came of events: frames to judge, rows to renew or remove, frames never read."""

    ask: dict[int, FrameInHand] = field(default_factory=dict)
    renew: dict[int, FrameInHand] = field(default_factory=dict)
    remove: list[int] = field(default_factory=list)
    withdraw: list[int] = field(default_factory=list)
    """Numbers of frames that need no judging any more."""

    gone: list[FrameInHand] = field(default_factory=list)
    look: list[FrameInHand] = field(default_factory=list)
    """Frames that are to have their second look after all, and others that are not any more."""

    unlooked: list[FrameInHand] = field(default_factory=list)
    passed_over: list[tuple[Path, FileInHand]] = field(default_factory=list)
    """Files passed over, and where they lay before."""


class FramesInHand:
    """Holds the frames and moves them between states; it knows not what an event means.

    Parameters
    ----------
    roots
        The session's folders.
    clock
        Seconds, monotonic.
    """

    def __init__(self, roots: Roots, clock: Callable[[], float]) -> None:
        self.files, self.exposures = FilesInHand(), Exposures()
        self.changes = Changes()
        self.waiting: Counter[int | None] = Counter()
        """How many frames wait for their verdict, by their setup."""

        self._roots, self._clock = roots, clock
        self._numbers = itertools.count(1)
        self._by_number: dict[int, FrameInHand] = {}
        self._by_row: dict[int, FrameInHand] = {}
        self._waiting: dict[int, FrameInHand] = {}
        self._lost: dict[int, FrameInHand] = {}
        self._lost_digests: dict[bytes, FrameInHand] = {}

    # Known by number and by row

    def number(self) -> int:
        """A number that no frame has."""
        return next(self._numbers)

    def new(self, file: FileInHand, arrived: datetime, came: float) -> FrameInHand:
        """A frame of a file that nobody knew."""
        frame = FrameInHand(self.number(), file, arrived, came, self._clock())
        self.add(frame)
        return frame

    def add(self, frame: FrameInHand) -> None:
        """Hold a frame and its files."""
        self._by_number[frame.number] = frame
        if frame.row is not None:
            self._by_row[frame.row] = frame
        for file in (frame.file, *frame.raws):
            self.files.add(file, frame)

    def adopt(self, frame: FrameInHand) -> None:
        """Hold a frame whose file was another's until now."""
        self._by_number[frame.number] = frame
        self.files.give(frame.file, frame)

    def of_number(self, number: int) -> FrameInHand | None:
        """The frame of this number."""
        return self._by_number.get(number)

    def of_row(self, row: int) -> FrameInHand | None:
        """The frame of a row of the record."""
        return self._by_row.get(row)

    def recorded(self, frame: FrameInHand, row: int) -> None:
        """A frame stands in the record."""
        frame.row = row
        self._by_row[row] = frame

    def forget_rows(self) -> None:
        """Take it that no frame stands in the record: it is another one now."""
        for frame in self._by_row.values():
            frame.row = None
        self._by_row.clear()
        self._lost_digests.clear()

    def forget(self, frame: FrameInHand) -> None:
        """Know nothing more of a frame; a row that nobody has taken over goes, too."""
        if frame.row is not None:
            self.changes.remove.append(frame.row)
            self._by_row.pop(frame.row, None)
            frame.row = None
        frame.question = None
        self.changes.withdraw.append(frame.number)
        self._not_lost(frame)
        self._by_number.pop(frame.number, None)
        if self.files.belongs(frame.file, frame):
            self.files.drop(frame.file)

    def clear(self) -> None:
        """Know nothing of any frame any more."""
        for one in (self._by_number, self._by_row, self._waiting, self._lost, self._lost_digests):
            one.clear()
        self.files, self.exposures, self.changes = FilesInHand(), Exposures(), Changes()

    # Their states

    def go(self, frame: FrameInHand, to: State) -> None:
        """Have a frame go to another state; see `FrameInHand.move`."""
        waited, looked = frame.waits, frame.state is State.SECOND_LOOK
        frame.move(to)
        if frame.waits and not waited:
            self.waiting[frame.setup] += 1
            self._waiting[frame.number] = frame
        elif waited and not frame.waits:
            self._count_down(frame.setup)
            del self._waiting[frame.number]
        if looked and to is not State.RECORDED:
            self.changes.unlooked.append(frame)

    def ask(self, frame: FrameInHand) -> None:
        """Have a frame judged."""
        self.go(frame, State.WAITING)
        frame.question = self.question(frame)
        self.changes.ask[frame.number] = frame

    def question(self, frame: FrameInHand) -> Asked:
        """What a worker is to be asked of a frame, as its file lies now."""
        path, file = frame.path, frame.file.identity
        # The verdict of an earlier watch is there to be seen: the rest of it can wait.
        of_before = frame.state is State.SECOND_LOOK and frame.stands is None
        return Asked(
            path=path,
            frame=self._roots.name(path),
            arrived=frame.arrived,
            found=frame.found,
            within=self._roots.within(path),
            camera=self._roots.camera(path),
            number=frame.number,
            came=frame.came,
            swept=frame.swept or of_before,
            file=replace(file, inode=0) if frame.misses >= MISSES else file,
        )

    def place(self, frame: FrameInHand, setup: int | None) -> None:
        """Note which setup a frame belongs to."""
        if frame.waits and setup != frame.setup:
            self.waiting[setup] += 1
            self._count_down(frame.setup)
        frame.setup = setup

    def waiting_since(self, since: float, until: float) -> list[FrameInHand]:
        """Frames that came first within this time, s since 1970, and wait for their verdict."""
        return [one for one in self._waiting.values() if since <= one.came < until]

    # Those whose file is not where it was

    def lose(self, frame: FrameInHand) -> None:
        """Expect a frame's file to turn up elsewhere, for a while."""
        frame.lost_until = self._clock() + GRACE_S
        self._lost.pop(frame.number, None)
        self._lost[frame.number] = frame
        if frame.digest is not None and frame.row is not None:
            self._lost_digests[frame.digest] = frame

    def find(self, frame: FrameInHand) -> None:
        """A frame's file is there: what was to become of it goes on."""
        self._not_lost(frame)
        if frame.state is State.GONE and frame.row is not None:
            self.go(frame, State.RECORDED)
        elif frame.state is State.GONE or (frame.waits and frame.question is None):
            self.ask(frame)
        elif frame.state is State.SECOND_LOOK and frame.question is None:
            self.changes.look.append(frame)

    def lost_for_good(self) -> Iterator[FrameInHand]:
        """Frames whose file has not turned up in time."""
        now = self._clock()
        while self._lost:
            frame = next(iter(self._lost.values()))
            if frame.lost_until is not None and frame.lost_until > now:
                return
            del self._lost[frame.number]
            if frame.lost_until is not None:
                yield frame

    def lost_with(self, digest: bytes | None) -> FrameInHand | None:
        """The frame that had these bytes, if it has a row and its file has left its place."""
        found = self._lost_digests.get(digest) if digest is not None else None
        return None if found is None or found.row is None or found.file.there else found

    def _not_lost(self, frame: FrameInHand) -> None:
        frame.lost_until = None
        self._lost.pop(frame.number, None)
        if frame.digest is not None and self._lost_digests.get(frame.digest) is frame:
            del self._lost_digests[frame.digest]

    def _count_down(self, setup: int | None) -> None:
        self.waiting[setup] -= 1
        if not self.waiting[setup]:
            del self.waiting[setup]
