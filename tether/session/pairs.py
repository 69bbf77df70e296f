"""Raw and picture of one exposure: a raw beside a picture belongs to its frame."""

from __future__ import annotations

import heapq
from collections.abc import Callable

from tether.frame import kinds
from tether.session.frame_in_hand import FileInHand, FrameInHand, State
from tether.session.frames_in_hand import FramesInHand


class Pairs:
    """Joins the files of one exposure, and parts them again.

    Parameters
    ----------
    hand
        The frames.
    wait_s
        How long a raw waits for its picture, s.
    clock
        Seconds, monotonic.
    """

    def __init__(self, hand: FramesInHand, wait_s: float, clock: Callable[[], float]) -> None:
        self._hand, self._wait_s, self._clock = hand, wait_s, clock
        self._pairing: list[tuple[float, int, FrameInHand]] = []

    def tick(self) -> None:
        """Let raws that waited long enough stand alone."""
        now = self._clock()
        while self._pairing and self._pairing[0][0] <= now:
            frame = heapq.heappop(self._pairing)[2]
            if frame.state is State.WAITING_FOR_PAIR and frame.lost_until is not None:
                heapq.heappush(self._pairing, (frame.lost_until, frame.number, frame))
                break
            if frame.state is State.WAITING_FOR_PAIR:
                self._hand.ask(frame)

    def join(self, frame: FrameInHand, *, absorbing: bool = True) -> None:
        """A frame is of the exposure of its file's name.

        A picture has its raws from then on, a raw its picture; not `absorbing` neither has, since
        they are in the record as they are.
        """
        exposure = self._hand.exposures.of(frame.path)
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
            self._hand.go(frame, State.WAITING_FOR_PAIR)
            due = self._clock() + self._wait_s
            heapq.heappush(self._pairing, (due, frame.number, frame))

    def part(self, frame: FrameInHand) -> None:
        """A frame leaves its exposure; raws that were beside it stay there."""
        exposure = self._hand.exposures.leave(frame)
        raws, frame.raws = frame.raws, []
        for raw in raws:
            self._hand.changes.renew[frame.number] = frame
            if not raw.there:
                self._hand.files.drop(raw)
            elif exposure.pictures:
                self._give(raw, exposure.pictures[0])
            else:
                self.stand_alone(raw, frame)

    def stand_alone(self, raw: FileInHand, of: FrameInHand) -> None:
        """A raw that belonged to a frame is an exposure of its own, until a picture is found."""
        number = self._hand.number()
        frame = FrameInHand(number, raw, of.arrived, of.came, self._clock(), quiet=True)
        if raw.passed_over:
            frame.state = State.PASSED_OVER
        self._hand.adopt(frame)
        self.join(frame)

    def stand_in(self, raw: FileInHand, frame: FrameInHand) -> None:
        """A frame's picture is gone: the exposure is judged by its raw."""
        others = [one for one in frame.raws if one is not raw]
        self._hand.exposures.leave(frame)
        self._hand.files.drop(frame.file)
        frame.file, frame.raws = raw, []
        self._hand.exposures.of(raw.path).alone.append(frame)
        frame.quiet = frame.quiet or not frame.waits
        self._hand.changes.renew[frame.number] = frame
        self._hand.ask(frame)
        for one in others:
            self.stand_alone(one, frame)

    def _absorb(self, picture: FrameInHand, alone: FrameInHand) -> None:
        """A raw has its picture: it is a frame no more."""
        self._hand.exposures.leave(alone)
        self._give(alone.file, picture)
        fresh = picture.row is None and picture.before is None
        if alone.row is not None and fresh and picture.state is not State.PASSED_OVER:
            picture.before, alone.heir = alone, picture
            picture.came = alone.came
        self._hand.go(alone, State.REPLACED)
        self._hand.changes.withdraw.append(alone.number)
        if picture.before is not alone:
            self._hand.forget(alone)

    def _give(self, raw: FileInHand, picture: FrameInHand) -> None:
        self._hand.files.give(raw, picture)
        picture.raws.append(raw)
        self._hand.changes.renew[picture.number] = picture
