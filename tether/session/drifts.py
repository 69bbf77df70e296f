"""The drift of frames taken alike, as the watch takes them in."""

from __future__ import annotations

import logging
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median

from tether.model import Against, EdgeWidth, FocusMode, Judgement, Source
from tether.plain import plain
from tether.session.reader import Measured, Reader
from tether.session.references import Key
from tether.session.schema import RecordError
from tether.verdict.drift import LONGEST, Drift, Seen, advised, check, drift

_log = logging.getLogger(__name__)

_KEPT = 400  # frames of all kinds that are remembered


@dataclass(frozen=True, slots=True)
class _Frame:
    """A measured frame: when it came (s since 1970), as what it counts, and what it measured."""

    at: float
    name: str
    alike: tuple[Key, Source]
    width: EdgeWidth
    limit_px: float | None
    ratio: float | None
    against: Against | None
    mode: FocusMode | None


class Drifts:
    """Frames by what they have in common, and whether those drift. For the watch's thread alone."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._frames: dict[str, _Frame] = {}
        self._line: str | None = ""

    def begin(self) -> None:
        """Take in what an earlier watch recorded."""
        try:
            with closing(Reader(self._folder)) as reader:
                for one in reader.measured(_KEPT):
                    self._remember(_recorded(one))
        except (RecordError, ValueError, KeyError, TypeError) as problem:
            _log.info("no earlier frames to tell a drift by: %s", problem)

    def taken(self, frame: Judgement, setup: int | None) -> Judgement:
        """Take in a frame; returns it with what its advice says of a drift, where there is one."""
        one = _judged(frame, setup)
        self._line = None
        self._frames.pop(plain(frame.frame), None)
        if one is not None:
            self._remember(one)
        return self.told(frame)

    def told(self, frame: Judgement) -> Judgement:
        """A frame that was taken in, with what its advice says of the drift up to it."""
        one = self._frames.get(plain(frame.frame))
        found = self._up_to(one) if one is not None else None
        if found is None:
            return frame
        mode = frame.exposure.focus_mode
        return replace(frame, advice=advised(frame.advice, frame.verdict, found, mode))

    @property
    def line(self) -> str:
        """The drift of what is shot now and what to look at; empty where there is none."""
        if self._line is None:
            newest = max(self._frames.values(), key=lambda one: one.at, default=None)
            found = self._up_to(newest) if newest is not None else None
            self._line = f"{found.words} {check(newest.mode)}" if found and newest else ""
        return self._line

    def _remember(self, one: _Frame) -> None:
        self._frames[one.name] = one
        self._line = None
        if len(self._frames) > _KEPT:
            del self._frames[min(self._frames.values(), key=lambda other: other.at).name]

    def _up_to(self, last: _Frame) -> Drift | None:
        series = [
            one for one in self._frames.values() if one.alike == last.alike and one.at <= last.at
        ]
        series.sort(key=lambda one: one.at)
        return drift(_in_px(series[-LONGEST:]), last.limit_px)


def _in_px(frames: list[_Frame]) -> list[Seen]:
    """Edge widths, px: from the ratio to a reference where there is one, as that is far surer.

    The reference's width is what the frames measured against it say together: by each frame's own
    width over its ratio, the median. Against another reference another one: so a change of the
    reference makes no step.
    """
    widths: dict[int | None, list[float]] = {}
    for one in frames:
        if one.ratio and one.against:
            widths.setdefault(one.against.number, []).append(one.width.px / one.ratio)
    seen = []
    for one in frames:
        told = one.width.px, one.width.lo, one.width.hi
        if one.ratio and one.against and one.against.ratio_95:
            px = median(widths[one.against.number])
            told = px * one.ratio, px * one.against.ratio_95[0], px * one.against.ratio_95[1]
        seen.append(Seen(one.name, *told))
    return seen


def _judged(frame: Judgement, setup: int | None) -> _Frame | None:
    widest = frame.measurement.widest if frame.measurement is not None else None
    if widest is None or frame.area is None or frame.slate or not _sane(widest):
        return None
    return _Frame(
        frame.arrived.timestamp(),
        plain(frame.frame),
        (Key.of(setup, frame.camera, frame.exposure), frame.area.source),
        widest,
        frame.limit_px,
        frame.relative_blur,
        frame.against,
        frame.exposure.focus_mode,
    )


def _recorded(one: Measured) -> _Frame:
    compared = one.against is not None and one.against.ratio_95
    return _Frame(
        one.arrived,
        one.name,
        (one.key, one.source),
        one.width,
        one.limit_px,
        one.relative_blur if compared else None,
        one.against,
        None,
    )


def _sane(width: EdgeWidth) -> bool:
    return 0 < width.lo <= width.px <= width.hi
