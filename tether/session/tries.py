"""Tries at a setup, counted as frames come and go: what it has is read, not recounted.

Frames that follow each other within a settable time, by the camera's own clock where the files
tell it, are one try: of a burst one sharp frame is wanted, not ten. What the photographer said
against a verdict comes before it. Slates are none, nor is what belongs to no setup.
"""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass

BURST_S = 1.0

_SERIES = "setup = ? AND ifnull(camera, '') = ? AND untold = ?"
_FRAMES = "setup = ? AND ifnull(camera, '') = ? AND (taken IS NULL) = ? AND slate IS NULL"
_AT = "coalesce(taken, arrived)"


@dataclass(frozen=True, slots=True)
class Position:
    """Where a frame stands among the tries: its series, when it was taken (s), and if it is sharp.

    A series is the frames of one setup and camera that tell the camera's clock, or do not.
    """

    setup: int
    camera: str
    untold: bool
    at: float
    sharp: bool

    @property
    def series(self) -> tuple[int, str, bool]:
        """As the tables name it."""
        return self.setup, self.camera, self.untold


def position(opened: sqlite3.Connection, row: int | None) -> Position | None:
    """Where the frame with this id stands; None where it counts for no setup."""
    found = opened.execute(
        f"SELECT setup, ifnull(camera, ''), taken IS NULL, {_AT}, "
        "coalesce(overrules.verdict, frames.verdict) = 'sharp' FROM frames "
        "LEFT JOIN overrules ON overrules.frame = frames.id "
        "WHERE frames.id = ? AND setup IS NOT NULL AND slate IS NULL",
        (row,),
    ).fetchone()
    return Position(found[0], found[1], bool(found[2]), found[3], bool(found[4])) if found else None


def moved(opened: sqlite3.Connection, before: Position | None, after: Position | None) -> None:
    """Count a frame that stood there before and stands here now; None: nowhere."""
    if before == after:
        return
    burst_s = _burst_s(opened)
    if before is not None:
        _take_out(opened, before, burst_s)
    if after is not None:
        _put_in(opened, after, burst_s)


def count_by(opened: sqlite3.Connection, burst_s: float) -> None:
    """Have frames within so many seconds of each other be one try; recounts where that is new."""
    if _counted_by(opened) == burst_s:
        return
    opened.execute("INSERT OR REPLACE INTO state VALUES ('tries', ?)", (json.dumps(burst_s),))
    opened.execute("DELETE FROM tries")
    opened.execute("DELETE FROM counts")
    opened.execute(
        "INSERT INTO tries (setup, camera, untold, begin, end, frames, sharp) "
        f"SELECT setup, camera, untold, begin, end, frames, sharp FROM ({COUNTED})",
        {"burst_s": burst_s},
    )
    opened.execute(
        "INSERT INTO counts SELECT setup, sum(sharp > 0), count(*) FROM tries GROUP BY setup"
    )


COUNTED = """
WITH taken AS (
    SELECT f.id, f.setup, ifnull(f.camera, '') AS camera, f.taken IS NULL AS untold,
           coalesce(f.taken, f.arrived) AS at, coalesce(o.verdict, f.verdict) = 'sharp' AS sharp
    FROM frames AS f LEFT JOIN overrules AS o ON o.frame = f.id
    WHERE f.slate IS NULL AND f.setup IS NOT NULL
), begun AS (
    SELECT *, at - lag(at) OVER series <= :burst_s AS goes_on FROM taken
    WINDOW series AS (PARTITION BY setup, camera, untold ORDER BY at, id)
), numbered AS (
    SELECT *, sum(NOT ifnull(goes_on, 0)) OVER series AS try FROM begun
    WINDOW series AS (PARTITION BY setup, camera, untold ORDER BY at, id)
)
SELECT setup, camera, untold, min(at) AS begin, max(at) AS end, count(*) AS frames,
       sum(sharp) AS sharp
FROM numbered GROUP BY setup, camera, untold, try
"""
"""Every try, counted from the frames themselves."""


def told_burst_s(opened: sqlite3.Connection) -> float:
    """What the last watch counted as a burst, in s."""
    found = opened.execute("SELECT value FROM state WHERE key = 'watch'").fetchone()
    return float(json.loads(found[0]).get("burst_s", BURST_S)) if found else BURST_S


def _counted_by(opened: sqlite3.Connection) -> float | None:
    found = opened.execute("SELECT value FROM state WHERE key = 'tries'").fetchone()
    return float(json.loads(found[0])) if found else None


def _burst_s(opened: sqlite3.Connection) -> float:
    counted_by = _counted_by(opened)
    return BURST_S if counted_by is None else counted_by


def _put_in(opened: sqlite3.Connection, one: Position, burst_s: float) -> None:
    # Tries of a series lie apart: two at most are within a burst's time of one moment.
    near = [
        row
        for row in opened.execute(
            f"SELECT id, begin, end, frames, sharp FROM tries WHERE {_SERIES} AND begin <= ? "
            "ORDER BY begin DESC LIMIT 2",
            (*one.series, one.at + burst_s),
        )
        if one.at - row[2] <= burst_s
    ]
    for row in near:
        opened.execute("DELETE FROM tries WHERE id = ?", (row[0],))
    begin, end = min([one.at, *(row[1] for row in near)]), max([one.at, *(row[2] for row in near)])
    frames, sharp = 1 + sum(row[3] for row in near), one.sharp + sum(row[4] for row in near)
    _insert(opened, one, begin, end, frames, sharp)
    had = sum(row[4] > 0 for row in near)
    _count(opened, one.setup, (sharp > 0) - had, 1 - len(near))


def _take_out(opened: sqlite3.Connection, one: Position, burst_s: float) -> None:
    found = opened.execute(
        f"SELECT id, begin, end, frames, sharp FROM tries WHERE {_SERIES} AND begin <= ? "
        "ORDER BY begin DESC LIMIT 1",
        (*one.series, one.at),
    ).fetchone()
    if found is None:
        return
    number, begin, end, frames, sharp = found
    opened.execute("DELETE FROM tries WHERE id = ?", (number,))
    parts = [(begin, end, frames - 1, sharp - one.sharp)] if frames > 1 else []
    if parts:
        # The frame has left its place already.
        within = f"FROM frames WHERE {_FRAMES} AND {_AT} BETWEEN ? AND ?"
        last = opened.execute(f"SELECT max({_AT}) {within}", (*one.series, begin, one.at))
        first = opened.execute(f"SELECT min({_AT}) {within}", (*one.series, one.at, end))
        until, since = last.fetchone()[0], first.fetchone()[0]
        if until is None:
            parts = [(since, end, frames - 1, sharp - one.sharp)]
        elif since is None:
            parts = [(begin, until, frames - 1, sharp - one.sharp)]
        elif since - until > burst_s:
            parts = [_counted(opened, one, begin, until), _counted(opened, one, since, end)]
    for part in parts:
        _insert(opened, one, *part)
    _count(opened, one.setup, sum(part[3] > 0 for part in parts) - (sharp > 0), len(parts) - 1)


def _counted(
    opened: sqlite3.Connection, one: Position, begin: float, end: float
) -> tuple[float, float, int, int]:
    frames, sharp = opened.execute(
        "SELECT count(*), ifnull(sum(coalesce(overrules.verdict, frames.verdict) = 'sharp'), 0) "
        "FROM frames LEFT JOIN overrules ON overrules.frame = frames.id "
        f"WHERE {_FRAMES} AND {_AT} BETWEEN ? AND ?",
        (*one.series, begin, end),
    ).fetchone()
    return begin, end, frames, sharp


def _insert(
    opened: sqlite3.Connection, one: Position, begin: float, end: float, frames: int, sharp: int
) -> None:
    opened.execute(
        "INSERT INTO tries (setup, camera, untold, begin, end, frames, sharp) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        (*one.series, begin, end, frames, sharp),
    )


def _count(opened: sqlite3.Connection, setup: int, has: int, tries: int) -> None:
    opened.execute(
        "INSERT INTO counts VALUES (?, ?, ?) ON CONFLICT (setup) DO UPDATE SET "
        "has = has + excluded.has, tries = tries + excluded.tries",
        (setup, has, tries),
    )
