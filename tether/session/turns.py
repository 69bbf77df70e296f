"""Which setup frames belong to: from each turn on, another one."""

from __future__ import annotations

import sqlite3
import time
from bisect import bisect_right
from dataclasses import dataclass
from pathlib import Path

from tether.model import Setup
from tether.session import setups
from tether.session.setups import Listed, SetupError
from tether.session.writing import next_revision, once


@dataclass(frozen=True, slots=True)
class Turned:
    """What came of a turn; `opened`: the setup was not on the list before."""

    listed: Listed
    opened: bool


class Turns:
    """Every turn of a session, in order of time; times in s since 1970."""

    def __init__(self, turns: list[tuple[float, int | None]]) -> None:
        self._times = [at for at, _ in turns]
        self._setups = [setup for _, setup in turns]

    def at(self, when: float) -> int | None:
        """Id of the setup that a frame which came then belongs to."""
        place = bisect_right(self._times, when)
        return self._setups[place - 1] if place else None

    @property
    def now(self) -> int | None:
        """Id of the setup of now."""
        return self._setups[-1] if self._setups else None

    def stayed(self, least_s: float) -> set[int]:
        """Ids of setups that were turned to for so long at a time, and left since."""
        ends = self._times[1:]
        return {
            setup
            for setup, begin, end in zip(self._setups, self._times, ends, strict=False)
            if setup is not None and end - begin >= least_s
        }

    @property
    def been(self) -> set[int]:
        """Ids of all setups that were turned to."""
        return {one for one in self._setups if one is not None}

    def differ_from(self, other: Turns) -> float | None:
        """From when on the two differ; None where they do not."""
        ours, theirs = (list(zip(t._times, t._setups, strict=True)) for t in (self, other))
        if ours == theirs:
            return None
        same = next(
            (n for n, (a, b) in enumerate(zip(ours, theirs, strict=False)) if a != b),
            min(len(ours), len(theirs)),
        )
        return min(at for at, _ in (*ours[same : same + 1], *theirs[same : same + 1]))


def read(opened: sqlite3.Connection) -> Turns:
    """Every turn in the record."""
    return Turns(opened.execute("SELECT at, setup FROM turns ORDER BY at, id").fetchall())


def turn(folder: Path, number: int | None, by: str, when: float | None = None) -> None:
    """Have frames from now, or from `when` on, belong to the setup of this id, or to none.

    Raises
    ------
    SetupError
        There is no such setup.
    RecordError
        The record cannot be written.
    """
    with once(folder) as opened:
        if number is not None and number not in {one.id for one in setups.listed(opened)}:
            raise SetupError("that setup is not on the list any more")
        _put(opened, number, by, when)


def turn_to(folder: Path, text: str, by: str, when: float | None = None) -> Turned:
    """Turn to the setup of this code or name; one that is not on the list is opened.

    Raises
    ------
    SetupError
        It is not on the list and cannot be: its name holds control characters, or is too long.
    RecordError
        The record cannot be written.
    """
    setups.check_name(text)
    with once(folder) as opened:
        found = setups.named(opened, text)
        new = found is None
        if found is None:
            setup = Setup(" ".join(text.split()))
            found = Listed(setups.added(opened, setup, by), setup, by)
        _put(opened, found.id, by, when)
        return Turned(found, new)


def turn_on(folder: Path, by: str, when: float | None = None) -> Listed:
    """Turn to the setup that follows on the list, from now or from `when` on.

    Raises
    ------
    SetupError
        There is none.
    RecordError
        The record cannot be written.
    """
    with once(folder) as opened:
        order = setups.listed(opened)
        made = opened.execute(
            "SELECT setup FROM turns WHERE at = ? AND by = ? ORDER BY id DESC", (when, by)
        ).fetchone()
        if made is not None:  # the same slate once more
            return next(one for one in order if one.id == made[0])
        now = setups.current(opened) if when is None else read(opened).at(when)
        place = next((n + 1 for n, one in enumerate(order) if one.id == now), 0)
        if not order:
            raise SetupError("there is no shot list")
        if place >= len(order):
            raise SetupError(f"{order[-1].setup.name} is the last setup on the list")
        _put(opened, order[place].id, by, when)
        return order[place]


def _put(opened: sqlite3.Connection, number: int | None, by: str, when: float | None) -> None:
    if when is None and setups.current(opened) == number:
        return
    # One that was made at a moment of its own counts even where nothing changes by it yet: an
    # earlier slate, read after it, would else reach past it.
    at = time.time() if when is None else when
    there = opened.execute("SELECT 1 FROM turns WHERE at = ? AND setup IS ?", (at, number))
    if there.fetchone():
        return
    opened.execute("INSERT INTO turns (at, setup, by) VALUES (?, ?, ?)", (at, number, by))
    next_revision(opened)
