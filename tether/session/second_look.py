"""Frames' second look: what comes of it is recorded and told, whatever happened meanwhile."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import replace

from tether.judge import Asked
from tether.model import Judgement, Verdict
from tether.session.backlog import Backlog, Later
from tether.session.frame_in_hand import FrameInHand, State, VerdictTimes
from tether.session.frames import Frames
from tether.session.frames_in_hand import Changes
from tether.session.saving import Saving
from tether.session.workers import Finished

PATIENCE_S = 10.0
"""How long the line of a frame that is not soft waits for its second look, s."""

Tell = Callable[[FrameInHand, Judgement], None]


class SecondLook:
    """Frames that have their verdict and whose rest a worker looks at; each is told once.

    The watch's own thread alone uses it. `looked_through` takes in a judgement that is whole, and
    `tell` tells one that will not become more than it is.
    """

    def __init__(
        self, frames: Frames, backlog: Backlog, saving: Saving, looked_through: Tell, tell: Tell
    ) -> None:
        self._frames, self._backlog, self._saving = frames, backlog, saving
        self._looked_through, self._tell = looked_through, tell
        self._looked_at: dict[int, FrameInHand] = {}
        self._untold: deque[tuple[float, FrameInHand]] = deque()

    def resume(self, frames: Iterable[FrameInHand], *, looked_at: bool = False) -> None:
        """Take up what was left, the oldest first; `looked_at`: a worker is at it."""
        for frame in frames:
            if frame.state is State.SECOND_LOOK:
                self._looked_at[frame.number] = frame
                if not looked_at:
                    self._look(frame)

    def begin(self, frame: FrameInHand, judgement: Judgement) -> None:
        """Note a frame that has just got its verdict, and is being looked at."""
        frame.stands = replace(judgement, crop=b"")
        frame.times = VerdictTimes(judgement.arrived, judgement.judged, judgement.latency_ms)
        frame.told = False
        self._looked_at[frame.number] = frame
        if judgement.verdict is not Verdict.SOFT:
            self._untold.append((time.monotonic() + PATIENCE_S, frame))

    def tick(self) -> None:
        """Tell frames whose second look is long in coming: of a backlog it may take hours.

        A soft frame goes on waiting: without its cause its line would say too little.
        """
        now = time.monotonic()
        while self._untold and self._untold[0][0] <= now:
            frame = self._untold.popleft()[1]
            if frame.state is State.SECOND_LOOK and frame.stands is not None and not frame.told:
                self._tell(frame, frame.stands)
                self._saving.told(frame)

    def finished(self, done: Finished) -> None:
        """Take in what a worker says."""
        frame = self._frames.asked(done.asked)
        if frame is None or frame.state is not State.SECOND_LOOK:
            return  # saved anew since: the judgement of what stands there now is another's
        if done.judgement is None:
            self._not_seen(frame, done.asked)
            return
        self._looked_at.pop(frame.number, None)
        judgement = done.judgement
        if frame.times is not None:
            times = frame.times
            judgement = replace(
                judgement, arrived=times.arrived, judged=times.judged, latency_ms=times.latency_ms
            )
        self._looked_through(frame, judgement)

    def take(self, changes: Changes) -> None:
        """Follow what became of files: they are found again, gone, or another's."""
        for frame in changes.look:
            self._look(frame)
        for frame in changes.unlooked:
            self._looked_at.pop(frame.number, None)
            if frame.state is State.GONE:
                self._leave(frame)

    def end(self) -> None:
        """Tell frames whose turn did not come as they stand: the next watch finishes them."""
        for frame in self._looked_at.values():
            if frame.stands is not None and not frame.told:
                self._tell(frame, frame.stands)
                self._saving.told(frame)

    def _look(self, frame: FrameInHand) -> None:
        frame.question = self._frames.question(frame)
        self._backlog.put_later(Later(frame.question, frame.digest))

    def _not_seen(self, frame: FrameInHand, asked: Asked) -> None:
        """Look at a frame again if its file has another name, else leave it."""
        if frame.path != asked.path:
            self._look(frame)
        elif self._frames.stands(frame):
            self._looked_at.pop(frame.number, None)
            self._frames.settled(frame, looked_through=True)
            self._leave(frame)
        else:
            # It turns up elsewhere and is looked at there, or is gone for good.
            frame.question = None

    def _leave(self, frame: FrameInHand) -> None:
        self._saving.finish(frame)
        if frame.stands is not None and not frame.told:
            self._tell(frame, frame.stands)
        frame.stands = None
