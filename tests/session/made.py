"""Judgements made up for the record, and a way to wait for what a thread will do."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tether.frame.file import FileIdentity
from tether.model import (
    Cause,
    EdgeWidth,
    Exposure,
    FocusArea,
    Judgement,
    Measurement,
    Rect,
    Source,
    Verdict,
)
from tether.session.record import Entry, Record

BEGUN = datetime(2026, 3, 14, 10, 0, tzinfo=UTC)


def judgement(folder: Path, name: str, verdict: Verdict = Verdict.SHARP, nth: int = 0) -> Judgement:
    """A judged frame with every field filled."""
    width = EdgeWidth(7.2, 6.5, 7.9) if verdict is Verdict.SOFT else EdgeWidth(2.5, 2.2, 2.8)
    return Judgement(
        file=folder / f"{name}.jpg",
        frame=name,
        arrived=BEGUN + timedelta(seconds=nth),
        judged=BEGUN + timedelta(seconds=nth, milliseconds=120),
        latency_ms=120.0,
        verdict=verdict,
        cause=Cause.DEFOCUS if verdict is Verdict.SOFT else None,
        measurement=Measurement(width, EdgeWidth(2.4, 2.1, 2.7), None, None, 0.004, 212, 0.01),
        limit_px=4.0,
        area=FocusArea(Rect(100, 100, 400, 400), Source.SUBJECT_AREA),
        exposure=Exposure(0.008, 2.8, 85.0, 200, "Studio 85mm f/1.8", "Studio One", 6.0),
        crop=b"\xff\xd8 crop",
    )


def entry(
    folder: Path,
    name: str,
    verdict: Verdict = Verdict.SHARP,
    nth: int = 0,
    setup: int | None = None,
) -> Entry:
    """The same as it goes into the record."""
    path, file = Path(f"{name}.jpg"), FileIdentity(1, 100 + nth, 1000, 10**18 + nth)
    return Entry(judgement(folder, name, verdict, nth), path, file, b"d" * 16, setup=setup)


def raws(folder: Path) -> dict[Path, list[Path]]:
    """The raw files of each frame that has some, by its file as the record names it."""
    record = Record(folder)
    try:
        found = {one.path: [path for path, _ in one.raws] for one in record.frames()}
    finally:
        record.close()
    return {path: them for path, them in found.items() if path is not None and them}


def until(true: Callable[[], bool], seconds: float = 60.0) -> None:
    """Wait for something that another thread does."""
    deadline = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < deadline, "it never came true"
        time.sleep(0.01)
