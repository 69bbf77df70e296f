"""Every frame in hand: whatever happens to a file is an event on the frame that it belongs to."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from tether.arrivals.source import Whole
from tether.arrivals.whole import look_at
from tether.asked import Asked
from tether.frame.file import FileIdentity, Missing, Unreadable, digest, read
from tether.session.frame_in_hand import FileInHand, FrameInHand, State
from tether.session.frames_in_hand import Changes, FramesInHand
from tether.session.pairs import Pairs
from tether.session.roots import Roots

MOST_MISSES = 8
"""So often a file may be missed that is there whenever it is looked for."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a verdict means: whether it is news, or of bytes that had one already.

    `pending`: of such bytes the second look was still to come.
    """

    news: bool
    pending: bool = False


class Frames:
    """Takes in what happens to files and frames; for the watch's own thread alone.

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
        self._roots, self._clock = roots, clock
        self._hand = hand = FramesInHand(roots, clock)
        self._files = hand.files
        self._pairs = Pairs(hand, pair_wait_s, clock)
        self.number, self.question = hand.number, hand.question
        self.place, self.waiting_since = hand.place, hand.waiting_since
        self.of_row, self.recorded, self.forget_rows = hand.of_row, hand.recorded, hand.forget_rows

    @property
    def waiting(self) -> Counter[int | None]:
        """How many frames wait for their verdict, by their setup."""
        return self._hand.waiting

    # What a record says

    def remember(self, frames: Iterable[FrameInHand], passed_over: Iterable[FileInHand]) -> None:
        """Take over frames of the record, each with its row, and files that were passed over."""
        for frame in frames:
            self._hand.add(frame)
            if not frame.file.there:
                self._hand.lose(frame)
            self._pairs.join(frame, absorbing=False)
        now = datetime.now().astimezone()
        for file in passed_over:
            # Another may have its place, where it is elsewhere by now; or it is a picture's raw.
            at = self._files.at(file.path)
            if at is not None and at.identity.same_as(file.identity):
                at.passed_over = True
                continue
            file.there, file.passed_over = at is None, True
            frame = self._hand.new(file, now, now.timestamp())
            frame.state = State.PASSED_OVER
            if file.there:
                self._pairs.join(frame, absorbing=False)

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
                self._hand.lose(frame)

    def tick(self) -> None:
        """Let raws that waited long enough stand alone, and give up on files that are gone."""
        self._pairs.tick()
        for frame in self._hand.lost_for_good():
            self._give_up(frame)

    def changes(self) -> Changes:
        """What came of all that since this was last asked."""
        changes, self._hand.changes = self._hand.changes, Changes()
        return changes

    def clear(self) -> None:
        """Let go of every frame, which is the end of all that is asked here."""
        self._hand.clear()
        self._files = self._hand.files

    # What becomes of a question

    def ask(self, frame: FrameInHand, *, again: bool = False) -> None:
        """Have a frame judged; `again`: though its file is what it was."""
        frame.again = frame.again or again
        self._hand.ask(frame)

    def asked(self, question: Asked) -> FrameInHand | None:
        """The frame that waits for the answer to this question; None if it asks another now."""
        frame = self._hand.of_number(question.number)
        return frame if frame is not None and frame.question is question else None

    def at(self, whole: Whole) -> FrameInHand:
        """The frame of a file, one that is new if need be."""
        file = self._files.at(whole.path)
        if file is not None:
            return self._files.owner(file)
        at = FileInHand(whole.path, whole.file)
        frame = self._hand.new(at, whole.when, whole.when.timestamp())
        self._hand.go(frame, State.WAITING)
        return frame

    def begun(self, question: Asked) -> None:
        """A worker has taken a question."""
        frame = self.asked(question)
        if frame is not None and frame.state is State.WAITING:
            self._hand.go(frame, State.BEING_JUDGED)

    def missed(self, frame: FrameInHand) -> None:
        """A worker did not find the file that it was asked about."""
        asked = frame.question
        frame.misses += 1
        frame.question = None
        elsewhere = asked is not None and asked.path != frame.path and frame.file.there
        if elsewhere or self.stands(frame):
            self._hand.ask(frame)

    def has_its_place(self, frame: FrameInHand) -> bool:
        """Whether no other file stands where its file stands, or stood."""
        return self._files.has_its_place(frame.file)

    def stands(self, frame: FrameInHand) -> bool:
        """Whether its file is where it was, as it was; else it is looked for."""
        seen = look_at(str(frame.path))
        if frame.file.there and seen is not None and seen.same_as(frame.file.identity):
            return True
        self._files.lose(frame.file)
        self._hand.lose(frame)
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
        self._hand.go(frame, State.JUDGED)
        return Outcome(news, pending)

    def failed(self, frame: FrameInHand) -> bool:
        """Whatever was to be done of a frame failed: it has no verdict, and gets none."""
        if frame.state in {State.PASSED_OVER, State.RECORDED, State.REPLACED, State.GONE}:
            return False
        if frame.state not in {State.JUDGED, State.SECOND_LOOK}:
            if frame.state in {State.SEEN, State.WAITING_FOR_PAIR}:
                self._hand.go(frame, State.WAITING)
            self.judged(frame, None)
        self.settled(frame, looked_through=True)
        return True

    def settled(self, frame: FrameInHand, *, looked_through: bool) -> None:
        """The verdict of a frame is on its way to the record; its rest may still be looked at."""
        self._hand.go(frame, State.RECORDED if looked_through else State.SECOND_LOOK)
        if looked_through:
            frame.question = frame.stands = None
        if not frame.file.there and look_at(str(frame.path)) is None:
            self._hand.lose(frame)

    # How it comes about

    def _begin(self, whole: Whole, at: FileInHand | None) -> None:
        """A file that nobody knows, maybe in the place of one that is known."""
        loser = self._files.owner(at) if at is not None else None
        file = FileInHand(whole.path, whole.file)
        frame = self._hand.new(file, whole.when, whole.when.timestamp())
        frame.found, frame.swept = whole.found, whole.swept
        if at is not None and loser is not None and at is loser.file:
            frame.before = loser if loser.row is not None else loser.before
            if frame.before is not None:
                frame.came, frame.before.heir = frame.before.came, frame
            if whole.file.size == at.identity.size and whole.file.mtime_ns == at.identity.mtime_ns:
                frame.misses = loser.misses
        self._pairs.join(frame)
        if at is not None and loser is not None:
            self._evict(at, loser)
        if frame.state is State.SEEN:
            self._hand.ask(frame)

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
        except Missing:
            return True  # it is on its way already: from there to where it will be found
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
            self._hand.changes.renew[frame.number] = frame
            self._files.move(file, path, identity)
            self._pairs.stand_alone(file, frame)
            return
        was, uncertain = file.path, self._files.ambiguous(identity)
        self._pairs.part(frame)
        self._files.move(file, path, identity)
        self._hand.find(frame)
        if frame.heir is not None:
            frame.heir.before = None
            frame.heir = None
        if frame.state is State.PASSED_OVER:
            self._hand.changes.passed_over.append((was, file))
        else:
            self._hand.changes.renew[frame.number] = frame
        self._pairs.join(frame)
        if uncertain and frame.waits:
            self._hand.ask(frame)  # whatever a worker has read may have been another's

    def _evict(self, file: FileInHand, loser: FrameInHand) -> None:
        """Another file has the place of this one, which may turn up elsewhere."""
        if file is not loser.file:
            if file in loser.raws:
                loser.raws.remove(file)
                self._hand.changes.renew[loser.number] = loser
            self._files.drop(file)
            return
        self._pairs.part(loser)
        self._files.lose(file)
        if loser.state is not State.PASSED_OVER:  # of those it is enough to know them again
            self._hand.lose(loser)

    def _back(self, file: FileInHand, identity: FileIdentity) -> None:
        """A file is where it was."""
        frame = self._files.owner(file)
        if file.identity != identity:
            self._files.move(file, file.path, identity)
            self._hand.changes.renew[frame.number] = frame
        self._files.find(file)
        if file is frame.file:
            self._hand.find(frame)
            if not self._hand.exposures.holds(frame):
                self._pairs.join(frame)

    def _give_up(self, frame: FrameInHand) -> None:
        """The time is over in which its file might have turned up elsewhere."""
        if not self._roots.there(frame.path):  # while its folder is away, nothing is gone for good
            self._hand.lose(frame)
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
            self._pairs.part(frame)
            return
        if raw is not None and self._hand.exposures.of(frame.path).pictures == [frame]:
            self._pairs.stand_in(raw, frame)
            return
        if frame.waits:
            self._hand.changes.gone.append(frame)  # its row says so
            return
        self._pairs.part(frame)
        self._hand.go(frame, State.GONE)

    def _replace(self, frame: FrameInHand) -> None:
        """Another has its place for good."""
        if frame.state is not State.REPLACED:
            self._pairs.part(frame)
            self._hand.go(frame, State.REPLACED)
        if frame.heir is None or not frame.heir.waits or frame.heir.before is not frame:
            self._hand.forget(frame)

    def _predecessor(self, frame: FrameInHand, digest: bytes | None) -> FrameInHand | None:
        """The frame whose row this one is to take, if it has none."""
        if frame.row is not None:
            return None
        before = frame.before
        if before is not None and before.row is not None and before.heir is frame:
            return before
        # The same bytes elsewhere, and no more where they were: from another disk or mount.
        found = self._hand.lost_with(digest)
        if found is None or found is frame:
            return None
        alone = self._files.has_its_place(found.file) and look_at(str(found.path)) is None
        return found if alone else None

    def _succeed(self, frame: FrameInHand, before: FrameInHand) -> None:
        frame.row, frame.came, before.row = before.row, before.came, None
        frame.stands, frame.times, frame.told = before.stands, before.times, before.told
        if frame.row is not None:
            self._hand.recorded(frame, frame.row)
        if before.state is not State.REPLACED:
            self._pairs.part(before)
            self._hand.go(before, State.REPLACED)
        self._hand.forget(before)
