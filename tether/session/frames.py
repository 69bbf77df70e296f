"""Every frame in hand: whatever happens to a file is an event on the frame that it belongs to."""

from __future__ import annotations

import heapq
import itertools
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from tether.arrivals.source import Whole
from tether.arrivals.whole import look_at
from tether.frame import kinds
from tether.frame.file import FileIdentity, Unreadable, digest, read
from tether.judge import Asked
from tether.session.exposures import Exposures
from tether.session.files_in_hand import FilesInHand
from tether.session.frame_in_hand import FileInHand, FrameInHand, State
from tether.session.roots import Roots

GRACE_S = 0.5
"""A file that is not where it was may only have another name: the news of it may follow."""

MOST_MISSES = 8
"""So often a file may be missed that is there whenever it is looked for."""

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


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a verdict means: whether it is news, or of bytes that had one already.

    `pending`: of such bytes the second look was still to come.
    """

    news: bool
    pending: bool = False


class Frames:
    """Owns the frames and their states; for the watch's own thread alone.

    Parameters
    ----------
    roots
        The session's folders.
    pair_wait_s
        How long a raw waits for its picture, s.
    clock
        Seconds, monotonic.
    """

    def __init__(
        self, roots: Roots, pair_wait_s: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._roots, self._pair_wait_s, self._clock = roots, pair_wait_s, clock
        self._numbers = itertools.count(1)
        self._files = FilesInHand()
        self._exposures = Exposures()
        self._by_number: dict[int, FrameInHand] = {}
        self._by_row: dict[int, FrameInHand] = {}
        self._lost: dict[int, FrameInHand] = {}
        self._lost_digests: dict[bytes, FrameInHand] = {}
        self._pairing: list[tuple[float, int, FrameInHand]] = []
        self._changes = Changes()
        self._waiting: dict[int, FrameInHand] = {}
        self.waiting: Counter[int | None] = Counter()
        """How many frames wait for their verdict, by their setup."""

    # What a record says

    def remember(self, frames: Iterable[FrameInHand], passed_over: Iterable[FileInHand]) -> None:
        """Take over frames of the record, each with its row, and files that were passed over."""
        for frame in frames:
            self._by_number[frame.number] = frame
            if frame.row is not None:
                self._by_row[frame.row] = frame
            for file in (frame.file, *frame.raws):
                self._files.add(file, frame)
            if not frame.file.there:
                self._lose(frame)
            self._join(frame, absorbing=False)
        now = datetime.now().astimezone()
        for file in passed_over:
            # Another may have its place, where it is elsewhere by now; or it is a picture's raw.
            at = self._files.at(file.path)
            if at is not None and at.identity.same_as(file.identity):
                at.passed_over = True
                continue
            file.there, file.passed_over = at is None, True
            frame = self._frame(file, now, now.timestamp())
            frame.state = State.PASSED_OVER
            if file.there:
                self._join(frame, absorbing=False)

    def number(self) -> int:
        """A number that no frame has."""
        return next(self._numbers)

    def known(self) -> dict[Path, FileIdentity]:
        """Every file that is known, by its path."""
        return {file.path: file.identity for file in self._files if file.there}

    # What happens to files

    def seen(self, whole: Whole) -> bool:
        """A file is whole; returns whether it is one that is new, in a place that is new."""
        at = self._files.at(whole.path)
        if at is not None and at.identity.same_as(whole.file):
            self._back(at, whole.file)
            return False
        moved = self._moved(whole)
        if moved is not None:
            self._move(moved, whole.path, whole.file)
            return False
        self._begin(whole, at)
        return at is None

    def vanished(self, path: Path) -> None:
        """A file is not at this path any more."""
        file = self._files.at(path)
        if file is not None and file.there and look_at(str(path)) is None:
            self._files.lose(file)
            frame = self._files.owner(file)
            if file is frame.file:
                self._lose(frame)

    def tick(self) -> None:
        """Let raws that waited long enough stand alone, and give up on files that are gone."""
        now = self._clock()
        while self._pairing and self._pairing[0][0] <= now:
            frame = heapq.heappop(self._pairing)[2]
            if frame.state is State.WAITING_FOR_PAIR and frame.lost_until is not None:
                heapq.heappush(self._pairing, (frame.lost_until, frame.number, frame))
                break
            if frame.state is State.WAITING_FOR_PAIR:
                self.ask(frame)
        while self._lost:
            frame = next(iter(self._lost.values()))
            if frame.lost_until is not None and frame.lost_until > now:
                return
            del self._lost[frame.number]
            if frame.lost_until is not None:
                self._give_up(frame)

    def changes(self) -> Changes:
        """What came of all that since this was last asked."""
        changes, self._changes = self._changes, Changes()
        return changes

    # What becomes of a question

    def ask(self, frame: FrameInHand, *, again: bool = False) -> None:
        """Have a frame judged; `again`: though its file is what it was."""
        frame.again = frame.again or again
        self._go(frame, State.WAITING)
        frame.question = self.question(frame)
        self._changes.ask[frame.number] = frame

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

    def asked(self, question: Asked) -> FrameInHand | None:
        """The frame that waits for the answer to this question; None if it asks another now."""
        frame = self._by_number.get(question.number)
        return frame if frame is not None and frame.question is question else None

    def at(self, whole: Whole) -> FrameInHand:
        """The frame of a file, one that is new if need be."""
        file = self._files.at(whole.path)
        if file is not None:
            return self._files.owner(file)
        at = FileInHand(whole.path, whole.file)
        frame = self._frame(at, whole.when, whole.when.timestamp())
        frame.state = State.WAITING
        self.waiting[None] += 1
        self._waiting[frame.number] = frame
        return frame

    def of_row(self, row: int) -> FrameInHand | None:
        """The frame of a row of the record."""
        return self._by_row.get(row)

    def begun(self, question: Asked) -> None:
        """A worker has taken a question."""
        frame = self.asked(question)
        if frame is not None and frame.state is State.WAITING:
            self._go(frame, State.BEING_JUDGED)

    def missed(self, frame: FrameInHand) -> None:
        """A worker did not find the file that it was asked about."""
        asked = frame.question
        frame.misses += 1
        frame.question = None
        elsewhere = asked is not None and asked.path != frame.path and frame.file.there
        if elsewhere or self.stands(frame):
            self.ask(frame)

    def has_its_place(self, frame: FrameInHand) -> bool:
        """Whether no other file stands where its file stands, or stood."""
        return self._files.has_its_place(frame.file)

    def stands(self, frame: FrameInHand) -> bool:
        """Whether its file is where it was, as it was; else it is looked for."""
        seen = look_at(str(frame.path))
        if frame.file.there and seen is not None and seen.same_as(frame.file.identity):
            return True
        self._files.lose(frame.file)
        self._lose(frame)
        return False

    def judged(self, frame: FrameInHand, digest: bytes | None) -> Outcome:
        """A frame has its verdict; returns what that means."""
        before = self._predecessor(frame, digest)
        known, pending = frame.digest, False
        if before is not None:
            known, pending = before.digest, before.state is State.SECOND_LOOK
            self._succeed(frame, before)
        news = frame.row is None or known is None or known != digest
        frame.before = None
        frame.digest, frame.misses = digest, 0
        self._go(frame, State.JUDGED)
        return Outcome(news, pending)

    def failed(self, frame: FrameInHand) -> bool:
        """Whatever was to be done of a frame failed: it has no verdict, and gets none."""
        if frame.state in {State.PASSED_OVER, State.RECORDED, State.REPLACED, State.GONE}:
            return False
        if frame.state not in {State.JUDGED, State.SECOND_LOOK}:
            if frame.state in {State.SEEN, State.WAITING_FOR_PAIR}:
                self._go(frame, State.WAITING)
            self.judged(frame, None)
        self.settled(frame, looked_through=True)
        return True

    def settled(self, frame: FrameInHand, *, looked_through: bool) -> None:
        """The verdict of a frame is on its way to the record; its rest may still be looked at."""
        self._go(frame, State.RECORDED if looked_through else State.SECOND_LOOK)
        if looked_through:
            frame.question = frame.stands = None
        if not frame.file.there and look_at(str(frame.path)) is None:
            self._lose(frame)

    def forget_rows(self) -> None:
        """Take it that no frame stands in the record: it is another one now."""
        for frame in self._by_row.values():
            frame.row = None
        self._by_row.clear()
        self._lost_digests.clear()

    def recorded(self, frame: FrameInHand, row: int) -> None:
        """A frame stands in the record."""
        frame.row = row
        self._by_row[row] = frame

    # How it comes about

    def _frame(self, file: FileInHand, arrived: datetime, came: float) -> FrameInHand:
        frame = FrameInHand(self.number(), file, arrived, came, self._clock())
        self._by_number[frame.number] = frame
        self._files.add(file, frame)
        return frame

    def _begin(self, whole: Whole, at: FileInHand | None) -> None:
        """A file that nobody knows, maybe in the place of one that is known."""
        loser = self._files.owner(at) if at is not None else None
        file = FileInHand(whole.path, whole.file)
        frame = self._frame(file, whole.when, whole.when.timestamp())
        frame.found, frame.swept = whole.found, whole.swept
        if at is not None and loser is not None and at is loser.file:
            frame.before = loser if loser.row is not None else loser.before
            if frame.before is not None:
                frame.came, frame.before.heir = frame.before.came, frame
            if whole.file.size == at.identity.size and whole.file.mtime_ns == at.identity.mtime_ns:
                frame.misses = loser.misses
        self._join(frame)
        if at is not None and loser is not None:
            self._evict(at, loser)
        if frame.state is State.SEEN:
            self.ask(frame)

    def _moved(self, whole: Whole) -> FileInHand | None:
        """The file that this is, if it has left the place where it was."""
        for file in self._files.same(whole.file):
            if self._files.owner(file).state is State.REPLACED:
                continue
            here = look_at(str(file.path)) if file.there and file.path != whole.path else None
            if here is not None and here.same_as(file.identity):
                continue
            if not self._files.ambiguous(whole.file) or self._same_bytes(file, whole.path):
                return file
        # A card put in anew may number its files anew, and of what was passed over nothing but
        # size and time are known. Of the others the digest will tell.
        for file in self._files.lost_like(whole.file):
            passed_over = self._files.owner(file).state is State.PASSED_OVER
            if passed_over and file.identity.device != whole.file.device:
                return file
        return None

    def _same_bytes(self, file: FileInHand, path: Path) -> bool:
        """Whether what lies there is a file's own bytes; of what was never read only a guess."""
        frame = self._files.owner(file)
        if file is not frame.file or frame.digest is None:
            return True
        try:
            return digest(read(path).data) == frame.digest
        except (Unreadable, MemoryError):
            return False

    def _move(self, file: FileInHand, path: Path, identity: FileIdentity) -> None:
        """A file that is known lies elsewhere now."""
        frame, place = self._files.owner(file), self._files.at(path)
        if place is not None and place is not file:
            loser = self._files.owner(place)
            self._evict(place, loser)
        if file is not frame.file:
            frame.raws.remove(file)
            self._changes.renew[frame.number] = frame
            self._files.move(file, path, identity)
            self._stand_alone(file, frame)
            return
        was, uncertain = file.path, self._files.ambiguous(identity)
        self._part(frame)
        self._files.move(file, path, identity)
        self._find(frame)
        if frame.heir is not None:
            frame.heir.before = None
            frame.heir = None
        if frame.state is State.PASSED_OVER:
            self._changes.passed_over.append((was, file))
        else:
            self._changes.renew[frame.number] = frame
        self._join(frame)
        if uncertain and frame.waits:
            self.ask(frame)  # whatever a worker has read may have been another's

    def _evict(self, file: FileInHand, loser: FrameInHand) -> None:
        """Another file has the place of this one, which may turn up elsewhere."""
        if file is not loser.file:
            if file in loser.raws:
                loser.raws.remove(file)
                self._changes.renew[loser.number] = loser
            self._files.drop(file)
            return
        self._part(loser)
        self._files.lose(file)
        if loser.state is not State.PASSED_OVER:  # of those it is enough to know them again
            self._lose(loser)

    def _back(self, file: FileInHand, identity: FileIdentity) -> None:
        """A file is where it was."""
        frame = self._files.owner(file)
        if file.identity != identity:
            self._files.move(file, file.path, identity)
            self._changes.renew[frame.number] = frame
        self._files.find(file)
        if file is frame.file:
            self._find(frame)
            if not self._exposures.holds(frame):
                self._join(frame)

    def _lose(self, frame: FrameInHand) -> None:
        frame.lost_until = self._clock() + GRACE_S
        self._lost.pop(frame.number, None)
        self._lost[frame.number] = frame
        if frame.digest is not None and frame.row is not None:
            self._lost_digests[frame.digest] = frame

    def _find(self, frame: FrameInHand) -> None:
        frame.lost_until = None
        self._lost.pop(frame.number, None)
        if frame.digest is not None and self._lost_digests.get(frame.digest) is frame:
            del self._lost_digests[frame.digest]
        if frame.state is State.GONE and frame.row is not None:
            self._go(frame, State.RECORDED)
        elif frame.state is State.GONE or (frame.waits and frame.question is None):
            self.ask(frame)
        elif frame.state is State.SECOND_LOOK and frame.question is None:
            self._changes.look.append(frame)

    def _give_up(self, frame: FrameInHand) -> None:
        """The time is over in which its file might have turned up elsewhere."""
        if not self._roots.there(frame.path):  # while its folder is away, nothing is gone for good
            self._lose(frame)
            return
        frame.lost_until = None
        if not self._files.has_its_place(frame.file):
            self._replace(frame)
            return
        seen = look_at(str(frame.path))
        if seen is None:
            self._gone(frame)
        elif seen.same_as(frame.file.identity):
            self._back(frame.file, seen)
        else:  # nobody has told of it
            now = datetime.now().astimezone()
            self._begin(Whole(frame.path, seen, self._clock(), now), frame.file)

    def _gone(self, frame: FrameInHand) -> None:
        raw = next((raw for raw in frame.raws if raw.there and not raw.passed_over), None)
        if frame.state is State.PASSED_OVER:
            self._part(frame)
            return
        if raw is not None and self._exposures.of(frame.path).pictures == [frame]:
            self._judge_raw_of(frame, raw)
            return
        if frame.waits:
            self._changes.gone.append(frame)  # its row says so
            return
        self._part(frame)
        self._go(frame, State.GONE)

    def _judge_raw_of(self, frame: FrameInHand, raw: FileInHand) -> None:
        """Its picture is gone: the exposure is judged by its raw."""
        others = [one for one in frame.raws if one is not raw]
        self._exposures.leave(frame)
        self._files.drop(frame.file)
        frame.file, frame.raws = raw, []
        self._exposures.of(raw.path).alone.append(frame)
        frame.quiet = frame.quiet or not frame.waits
        self._changes.renew[frame.number] = frame
        self.ask(frame)
        for one in others:
            self._stand_alone(one, frame)

    def _replace(self, frame: FrameInHand) -> None:
        """Another has its place for good."""
        if frame.state is not State.REPLACED:
            self._part(frame)
            self._go(frame, State.REPLACED)
        if frame.heir is None or not frame.heir.waits or frame.heir.before is not frame:
            self._forget(frame)

    def _predecessor(self, frame: FrameInHand, digest: bytes | None) -> FrameInHand | None:
        """The frame whose row this one is to take, if it has none."""
        if frame.row is not None:
            return None
        before = frame.before
        if before is not None and before.row is not None and before.heir is frame:
            return before
        found = self._lost_digests.get(digest) if digest is not None else None
        # The same bytes elsewhere, and no more where they were: from another disk or mount.
        if found is None or found is frame or found.row is None or found.file.there:
            return None
        alone = self._files.has_its_place(found.file) and look_at(str(found.path)) is None
        return found if alone else None

    def _succeed(self, frame: FrameInHand, before: FrameInHand) -> None:
        frame.row, frame.came, before.row = before.row, before.came, None
        frame.stands, frame.times, frame.told = before.stands, before.times, before.told
        if frame.row is not None:
            self._by_row[frame.row] = frame
        if before.state is not State.REPLACED:
            self._part(before)
            self._go(before, State.REPLACED)
        self._forget(before)

    def _forget(self, frame: FrameInHand) -> None:
        """Know nothing more of a frame; a row that nobody has taken over goes, too."""
        if frame.row is not None:
            self._changes.remove.append(frame.row)
            self._by_row.pop(frame.row, None)
            frame.row = None
        if frame.digest is not None and self._lost_digests.get(frame.digest) is frame:
            del self._lost_digests[frame.digest]
        frame.question = frame.lost_until = None
        self._changes.withdraw.append(frame.number)
        self._lost.pop(frame.number, None)
        self._by_number.pop(frame.number, None)
        if self._owned(frame.file, frame):
            self._files.drop(frame.file)

    def _owned(self, file: FileInHand, frame: FrameInHand) -> bool:
        try:
            return self._files.owner(file) is frame
        except KeyError:
            return False

    def _join(self, frame: FrameInHand, *, absorbing: bool = True) -> None:
        """A frame is of the exposure of its file's name."""
        exposure = self._exposures.of(frame.path)
        if not kinds.is_raw(frame.path):
            exposure.pictures.append(frame)
            if absorbing:
                for alone in list(exposure.alone):
                    self._absorb(exposure.pictures[0], alone)
            return
        if exposure.pictures and absorbing:
            self._absorb(exposure.pictures[0], frame)
            return
        exposure.alone.append(frame)
        if frame.state is State.SEEN:
            self._go(frame, State.WAITING_FOR_PAIR)
            due = self._clock() + self._pair_wait_s
            heapq.heappush(self._pairing, (due, frame.number, frame))

    def _part(self, frame: FrameInHand) -> None:
        """A frame leaves its exposure; raws that were beside it stay there."""
        exposure = self._exposures.leave(frame)
        raws, frame.raws = frame.raws, []
        for raw in raws:
            self._changes.renew[frame.number] = frame
            if not raw.there:
                self._files.drop(raw)
            elif exposure.pictures:
                self._give(raw, exposure.pictures[0])
            else:
                self._stand_alone(raw, frame)

    def _stand_alone(self, raw: FileInHand, of: FrameInHand) -> None:
        """A raw that belonged to a frame is an exposure of its own, until a picture is found."""
        frame = FrameInHand(self.number(), raw, of.arrived, of.came, self._clock(), quiet=True)
        if raw.passed_over:
            frame.state = State.PASSED_OVER
        self._by_number[frame.number] = frame
        self._files.give(raw, frame)
        self._join(frame)

    def _absorb(self, picture: FrameInHand, alone: FrameInHand) -> None:
        """A raw has its picture: it is a frame no more."""
        self._exposures.leave(alone)
        self._give(alone.file, picture)
        fresh = picture.row is None and picture.before is None
        if alone.row is not None and fresh and picture.state is not State.PASSED_OVER:
            picture.before, alone.heir = alone, picture
            picture.came = alone.came
        self._go(alone, State.REPLACED)
        self._changes.withdraw.append(alone.number)
        if picture.before is not alone:
            self._forget(alone)

    def _give(self, raw: FileInHand, picture: FrameInHand) -> None:
        self._files.give(raw, picture)
        picture.raws.append(raw)
        self._changes.renew[picture.number] = picture

    def _go(self, frame: FrameInHand, to: State) -> None:
        waited, looked = frame.waits, frame.state is State.SECOND_LOOK
        frame.move(to)
        if frame.waits and not waited:
            self.waiting[frame.setup] += 1
            self._waiting[frame.number] = frame
        elif waited and not frame.waits:
            self._count_down(frame.setup)
            del self._waiting[frame.number]
        if looked and to is not State.RECORDED:
            self._changes.unlooked.append(frame)

    def _count_down(self, setup: int | None) -> None:
        self.waiting[setup] -= 1
        if not self.waiting[setup]:
            del self.waiting[setup]
