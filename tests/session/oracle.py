"""What a record must say of a folder: of what lies there now, the verdicts that `check` gives it.

Small pictures, each with an edge width of its own, so that the verdict of another one shows.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import time
import tomllib
from collections import Counter
from collections.abc import Callable, Collection
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage import data

from mocks.raw import dng, mosaic
from tests.pictures import jpeg
from tests.sharpness.pictures import light
from tether.arrivals.sweep import pictures_below
from tether.commands import check
from tether.frame import kinds
from tether.session.exposures import key
from tether.session.schema import NAME
from tether.settings import Settings

QUICK = """
[slate]
codes = "none"
[area]
faces = false
sources = ["frame centre"]
[watch]
workers = 2
pair_wait_s = 0.3
"""
"""Settings with which a picture of these is judged in some 20 ms of processor time."""

WIDTH_PX = 1e-6  # by which an edge width may differ, the same program having measured it


@cache
def pictures() -> tuple[bytes, ...]:
    """Six JPEGs of 160 x 140 px, sharp and soft in turn; the first four have one size in bytes."""
    tiled = np.tile(data.camera(), (2, 2))
    found = []
    for nth in range(6):
        cut = tiled[60 + 20 * nth : 200 + 20 * nth, 160 + 20 * nth : 320 + 20 * nth]
        found.append(jpeg(ndimage.gaussian_filter(cut, 2.5) if nth % 2 else cut.copy()))
    most = max(map(len, found[:4])) + 4
    return tuple([_padded(one, most) for one in found[:4]] + found[4:])


@cache
def raws() -> tuple[bytes, ...]:
    """Four DNGs of 220 x 180 px, sharp and soft in turn."""
    found = []
    for nth in range(4):
        cut: NDArray[np.uint8] = data.astronaut()[40:220, 80 + 15 * nth : 300 + 15 * nth]
        soft = (2.5, 2.5, 0) if nth % 2 else (0, 0, 0)
        found.append(dng(mosaic(light(np.asarray(ndimage.gaussian_filter(cut, soft))))))
    return tuple(found)


def _padded(coded: bytes, size: int) -> bytes:
    """The same picture in so many bytes: a comment segment (ITU-T T.81, B.2.4.5) fills it up."""
    empty = size - len(coded) - 4
    return coded[:2] + b"\xff\xfe" + (empty + 2).to_bytes(2, "big") + bytes(empty) + coded[2:]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What of a judgement must be that of the content, and why there is none."""

    verdict: str
    width_px: float | None
    error: str | None = None

    def __str__(self) -> str:
        width = f"{self.width_px:.3f} px" if self.width_px is not None else "no width"
        return ", ".join(filter(None, (self.verdict, width, self.error)))

    def same(self, other: Verdict) -> bool:
        """Whether both tell of one content."""
        if self.width_px is None or other.width_px is None:
            return (self.verdict, self.width_px) == (other.verdict, other.width_px)
        return abs(self.width_px - other.width_px) <= WIDTH_PX and self.verdict == other.verdict


@dataclass(frozen=True, slots=True)
class Recorded:
    """A row of the record: the judged file and the raws of its exposure, below the folder."""

    number: int
    path: Path
    found: Verdict
    raws: frozenset[Path]

    def __str__(self) -> str:
        beside = "".join(f", with {raw}" for raw in sorted(self.raws))
        return f"{self.number} {self.path}{beside}: {self.found}"


@cache
def settings() -> Settings:
    """`QUICK`, read: what everything here is judged by."""
    return Settings.model_validate(tomllib.loads(QUICK))


def recorded(folder: Path) -> list[Recorded]:
    """Every row of a folder's record; none while there is no record."""
    rows = _ask(
        folder, "SELECT id, path, verdict, edge_width_px, json_extract(line, '$.error') FROM frames"
    )
    if _ask(folder, "SELECT 1 FROM sqlite_master WHERE name = 'raws'"):
        pairs = _ask(folder, "SELECT frame, path FROM raws")
    else:
        pairs = _ask(folder, "SELECT id, raw FROM frames WHERE raw NOTNULL")
    of: dict[int, set[Path]] = {}
    for number, raw in pairs:
        of.setdefault(number, set()).add(Path(os.fsdecode(raw)))
    return [
        Recorded(number, Path(os.fsdecode(path)), Verdict(*told), frozenset(of.get(number, ())))
        for number, path, *told in rows
    ]


def waiting(folder: Path) -> tuple[int, object]:
    """How many frames wait for their verdict, as the watch last said; and a mark of all changes."""
    told = _ask(folder, "SELECT value FROM state WHERE key = 'watch'")
    mark = told, _ask(folder, "SELECT last FROM revisions")
    return (int(json.loads(told[0][0])["waiting"]) if told else 1), mark


def _ask(folder: Path, query: str) -> list[tuple[Any, ...]]:
    try:
        with closing(sqlite3.connect(f"file:{folder / NAME}?mode=ro", uri=True)) as opened:
            return opened.execute(query).fetchall()
    except sqlite3.OperationalError:  # no record yet, or none with this table
        return []


_judged: dict[tuple[str, str], Verdict] = {}


def verdict_of(path: Path, folder: Path) -> Verdict:
    """What `tether check` says of a file; of one content it is asked once."""
    content = hashlib.sha256(path.read_bytes()).hexdigest()
    known = (content, path.suffix.lower())
    if known not in _judged:
        (judged,) = check._judged([(path, folder)], settings(), None)
        told = judged.judgement
        widest = told.measurement.widest if told.measurement else None
        width = widest.px if widest else None
        _judged[known] = Verdict(told.verdict.value, width, told.error)
    return _judged[known]


def faults(
    folder: Path,
    passed: Collection[Path] = (),
    open_to_both: Collection[Path] = (),
    gone: Collection[Path] | None = None,
) -> list[str]:
    """Where the record is not true to the folder, a sentence each.

    Every exposure that lies there, as `tether check` counts them, has one row, with its verdict;
    every raw beside a picture belongs to the row of such a picture; no file is named twice.

    Parameters
    ----------
    folder
        With nobody writing in it.
    passed
        Files that are no frames of the session, by their paths below the folder. A raw of them
        may belong to the frame of a picture that came later.
    open_to_both
        Files that may be frames or not.
    gone
        Files whose rows may be there still; None if those of all that are not there may.
    """
    rows = recorded(folder)
    named = Counter(path for row in rows for path in (row.path, *row.raws))
    exposures = {path.relative_to(folder) for path, _ in check._files([folder])}
    there = {path.relative_to(folder) for path in pictures_below(folder)}
    found = [f"{path} is named {named[path]} times" for path in there if named[path] > 1]
    for row in rows:
        if row.path in there and not row.found.same(verdict_of(folder / row.path, folder)):
            is_so = verdict_of(folder / row.path, folder)
            found.append(f"{row.path} is {is_so}, recorded as {row.found}")
        if row.path in there and row.path not in exposures | set(open_to_both):
            found.append(f"{row.path} is the raw of a picture, and has a row of its own")
    judged = {row.path for row in rows}
    free = {*passed, *open_to_both}
    if gone is not None:
        ghosts = judged - there - set(gone)
        found += [f"{path} is recorded still: its file was renamed" for path in ghosts]
    for path in exposures - judged - free:
        found.append(f"{path} is not recorded")
    for path in judged & {*passed}:
        found.append(f"{path} was passed over, and is recorded")
    for raw in there - exposures - free:
        beside = {one for one in exposures if not kinds.is_raw(one) and key(one) == key(raw)}
        if not beside & free and not any(row.path in beside and raw in row.raws for row in rows):
            found.append(f"{raw} does not belong to the frame of its picture")
    return sorted(found)


def settle(
    folder: Path,
    faults_now: Callable[[], list[str]],
    alive: Callable[[], bool],
    arrived: Callable[[], bool] = lambda: True,
) -> list[str]:
    """Wait until the record is true to the folder and stays so; what is wrong if it never is.

    It never will be once everything has `arrived`, nothing waits for its verdict, and nothing has
    changed for a while.
    """
    deadline, good = time.monotonic() + _MOST_S, 0
    before: object = None
    while alive():
        waits, mark = waiting(folder)
        at_rest = arrived() and not waits
        wrong = faults_now()
        good = good + 1 if at_rest and not wrong else 0
        if good * _LOOK_S > _STAYS_S:
            return []
        now = time.monotonic()
        if before != (mark, wrong) or not at_rest:
            before, since = (mark, wrong), now
        if (wrong and now - since > _STILL_S) or now > deadline:
            return wrong or ["something waits for ever"]
        time.sleep(_LOOK_S)
    return ["the watch has ended by itself", *faults_now()]


_LOOK_S = 0.1
_STAYS_S = 0.35  # more than a raw waits for its picture
_STILL_S, _MOST_S = 4.0, 40.0
