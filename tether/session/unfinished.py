"""Frames that have their verdict while the rest of them is still to be looked at."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from tether.judge import Asked
from tether.model import Judgement
from tether.session.record import Left, Stamp
from tether.session.roots import Roots


@dataclass(frozen=True, slots=True)
class Unfinished:
    """One such frame, whose file stands at `path` now.

    `asked` is what a worker was asked, and whose answer alone counts. `stands` is the judgement so
    far, without its picture; None if an earlier watch made it, and then `told` says whether that
    watch told it. The other three are those of the verdict, and stay.
    """

    asked: Asked
    path: Path
    stamp: Stamp
    arrived: datetime
    judged: datetime
    latency_ms: float
    stands: Judgement | None = None
    told: bool = False

    def finished(self, whole: Judgement, frame: str) -> Judgement:
        """The whole judgement, under the file's name of now, with the times of the verdict."""
        return replace(
            whole,
            file=self.path,
            frame=frame,
            arrived=self.arrived,
            judged=self.judged,
            latency_ms=self.latency_ms,
        )


class UnfinishedFrames:
    """All of them, by their file."""

    def __init__(self) -> None:
        self._frames: dict[Path, Unfinished] = {}

    def add(self, asked: Asked, stamp: Stamp, judgement: Judgement) -> None:
        """Note a frame that has just got its verdict."""
        path = judgement.file
        times = judgement.arrived, judgement.judged, judgement.latency_ms
        self._frames[path] = Unfinished(asked, path, stamp, *times, replace(judgement, crop=b""))

    def resume(self, left: Left, roots: Roots) -> Asked:
        """Take up a frame that an earlier watch left unfinished."""
        arrived, judged = (datetime.fromisoformat(left.line[key]) for key in ("arrived", "judged"))
        path = roots.home / left.path
        own = roots.within(path), roots.camera(path)
        asked = Asked(path, left.line["frame"], arrived, time.monotonic(), *own)
        times = arrived, judged, left.line["latency_ms"]
        self._frames[path] = Unfinished(asked, path, left.stamp, *times, told=left.told)
        return asked

    def answered(self, asked: Asked) -> Unfinished | None:
        """The frame that this is the answer to; None if its file was saved anew since."""
        return next((one for one in self._frames.values() if one.asked is asked), None)

    def ask_again(self, one: Unfinished) -> Asked:
        """Ask for a frame once more, under its file's name of now."""
        asked = replace(one.asked, path=one.path)
        self._frames[one.path] = replace(one, asked=asked)
        return asked

    def asked_anew(self, path: Path, asked: Asked) -> None:
        """Count the answer to this question from here on: the file was saved again unchanged."""
        if path in self._frames:
            self._frames[path] = replace(self._frames[path], asked=asked)

    def renamed(self, old: Path, new: Path) -> None:
        """Follow a file to its new name; whatever was known under that name goes."""
        self._frames.pop(new, None)
        if (one := self._frames.pop(old, None)) is not None:
            self._frames[new] = replace(one, path=new)

    def drop(self, path: Path) -> None:
        """Forget a frame: it is finished, or its file was saved anew."""
        self._frames.pop(path, None)

    def __iter__(self) -> Iterator[Unfinished]:
        return iter(list(self._frames.values()))
