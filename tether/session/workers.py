"""Threads that judge frames: a verdict first, then the rest of the frame if nothing waits."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from tether.frame import processes
from tether.frame.anchor import Anchor
from tether.frame.guarded import Closed
from tether.judge import Asked, Judged, complete, judge, unreadable
from tether.model import Judgement
from tether.session.backlog import Backlog, Later
from tether.session.faces_seen import FacesSeen
from tether.session.fixed_areas import FixedAreas
from tether.session.plan import Placed, Plan
from tether.session.recent import Recent
from tether.session.reference_frames import ReferenceFrames
from tether.settings import Settings

_LEAVING_S, _LEFT_S = 1.0, 0.5
"""How long the frames in hand may take at the end, s, and then to notice that none is read."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Begun:
    """A worker has taken a frame."""

    asked: Asked


@dataclass(frozen=True, slots=True)
class Done:
    """A frame has its verdict; while `unfinished`, a `Finished` will follow.

    `placed` is where it belonged when it was judged.
    """

    asked: Asked
    judged: Judged
    unfinished: bool
    placed: Placed


@dataclass(frozen=True, slots=True)
class Finished:
    """The whole judgement; None if the file is not what it was, or could not be looked at.

    Where a face was found late it is another than that of `Done`, on another area.
    """

    asked: Asked
    judgement: Judgement | None


class Workers:
    """Take frames from a backlog until it is closed, and hand what comes of them to `put`.

    A worker holds one frame's pixels at most, and hands on none but what may be a reference.
    """

    def __init__(
        self,
        backlog: Backlog,
        settings: Settings,
        put: Callable[[Begun | Done | Finished], object],
        areas: FixedAreas,
        plan: Plan,
        references: ReferenceFrames,
    ) -> None:
        self._backlog = backlog
        self._plan = plan
        self._put = put
        self._areas = areas
        self._references = references
        self._recent, self._faces = Recent(), FacesSeen()
        self._threads = [
            threading.Thread(target=self._work, name=f"judge {number}", daemon=True)
            for number in range(settings.watch.workers)
        ]

    def start(self) -> None:
        """Begin."""
        for thread in self._threads:
            thread.start()

    def join(self, seconds: float | None = None) -> bool:
        """Wait until the frames in hand are done, once the backlog is closed; so long at most.

        Returns whether all are.
        """
        deadline = time.monotonic() + seconds if seconds is not None else None
        for thread in self._threads:
            thread.join(None if deadline is None else max(0.0, deadline - time.monotonic()))
        return not any(thread.is_alive() for thread in self._threads)

    def end(self) -> None:
        """End with the frames in hand once the backlog is closed, or without one that takes long.

        The next start judges that.
        """
        if not self.join(_LEAVING_S):
            processes.end()
            if self.join(_LEFT_S):
                processes.again()

    def _work(self) -> None:
        while True:
            with self._backlog.taken() as task:
                if task is None:
                    return
                if isinstance(task, Later):
                    self._look_again(task)
                else:
                    self._judge(task)

    def _judge(self, asked: Asked) -> None:
        self._put(Begun(asked))
        placed, anchor = self._plan.nowhere, None
        try:
            placed, anchor = self._place(asked)
            laying = anchor is None and placed.settings.area.fixed is not None
            judged = self._judged(asked, placed, anchor, laying=laying)
        except Closed:
            return  # the program ends: the next start judges it
        except Exception as problem:
            _log.exception("%s", asked.path)
            why = f"judging it failed ({type(problem).__name__}: {problem})"
            judged = Judged(unreadable(asked, why), None)
        if judged.laid is not None:
            self._areas.lay(judged.laid, placed.id, asked.camera)
        self._references.hold(judged)
        judged = replace(judged, pixels=None)
        unfinished = judged.rest is not None
        self._put(Done(asked, replace(judged, rest=None), unfinished, placed))
        self._complete(asked, judged, anchor, placed, answer=unfinished)

    def _look_again(self, later: Later) -> None:
        anchor = later.anchor
        try:
            placed, now = self._place(later.asked)
            anchor = now if later.anew else anchor
            judged = self._judged(later.asked, placed, anchor)
        except Closed:
            return
        except Exception:
            _log.exception("%s", later.asked.path)
            placed, judged = self._plan.nowhere, None
        if judged and judged.digest is not None and judged.digest == later.digest:
            self._complete(later.asked, judged, anchor, placed)
        else:
            self._put(Finished(later.asked, None))

    def _place(self, asked: Asked) -> tuple[Placed, Anchor | None]:
        placed = self._plan.of(asked.path, asked.came)
        return placed, self._areas.now(placed.id, placed.settings.area.fixed, asked.camera)

    def _judged(
        self, asked: Asked, placed: Placed, anchor: Anchor | None, *, laying: bool = False
    ) -> Judged:
        return judge(
            asked,
            placed.settings,
            self._references.lookup(asked.path, placed.id, asked.camera),
            anchor,
            laying=laying,
            leeway=placed.leeway,
            listed=self._plan.names,
            likely=self._faces.likely(placed.id, asked.camera),
            pressing=lambda: self._backlog.pressing(asked),
        )

    def _complete(
        self,
        asked: Asked,
        judged: Judged,
        anchor: Anchor | None,
        placed: Placed,
        *,
        answer: bool = True,
    ) -> None:
        try:
            before = self._recent.causes(judged.judgement.exposure.lens, asked.camera)
            whole = complete(judged, lambda: not self._backlog.pressing(asked), before)
        except Exception:
            _log.exception("%s", asked.path)
            whole = replace(judged, rest=None)
        if whole is not None:
            self._recent.add(whole.judgement)
            if whole.judgement.area is not None:
                self._faces.add(placed.id, asked.camera, whole.likely)
            if answer:
                self._references.hold(whole)
                self._put(Finished(asked, whole.judgement))
        elif judged.digest is not None:
            self._backlog.put_later(Later(asked, judged.digest, anchor, anew=False))
