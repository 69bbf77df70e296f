"""Which setup frames belong to: from each turn on, another one."""

from __future__ import annotations

import math
import sqlite3
import time
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from tether.model import Setup
from tether.session import setups
from tether.session.setups import Listed, SetupError
from tether.session.writing import Writing, next_revision, once


@dataclass(frozen=True, slots=True)
class Turned:
    """What came of a turn; `opened`: the setup was not on the list before."""

    listed: Listed
    opened: bool


class Turns:
    """Every turn of a session, in order of time; times in s since 1970."""

    def __init__(self, turns: Iterable[tuple[float, int | None]] = ()) -> None:
        self._turns = list(turns)
        self._times = [at for at, _ in self._turns]
        self._setups = [setup for _, setup in self._turns]

    def and_then(self, more: Iterable[tuple[float, int | None]]) -> Turns:
        """These turns and others, made after all of them, for whatever time."""
        turns = list(self._turns)
        for turn in more:
            turns.insert(bisect_right(turns, turn[0], key=lambda one: one[0]), turn)
        return Turns(turns)

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

    @cached_property
    def been(self) -> frozenset[int]:
        """Ids of all setups that were turned to."""
        return frozenset(one for one in self._setups if one is not None)

    def differ_from(self, other: Turns) -> Span | None:
        """From when until when the two differ; None where they do not."""
        ours, theirs = self._turns, other._turns
        if ours is theirs or ours == theirs:
            return None
        same = _alike(ours, theirs)
        after = _alike(ours[same:][::-1], theirs[same:][::-1])
        ends = [turns[same : len(turns) - after] for turns in (ours, theirs)]
        changed = [turn for end in ends for turn in end]
        setups = {setup for _, setup in changed} | {
            turns[same - 1][1] for turns in (ours, theirs) if 0 < same <= len(turns)
        }
        until = ours[len(ours) - after][0] if after else math.inf
        return Span(min(at for at, _ in changed), until, frozenset(setups - {None}))


@dataclass(frozen=True, slots=True)
class Span:
    """A time, in s since 1970, and the setups that it is about."""

    since: float
    until: float
    setups: frozenset[int | None]


def _alike(ours: list[tuple[float, int | None]], theirs: list[tuple[float, int | None]]) -> int:
    """How many turns are the same at the beginning of both."""
    both = enumerate(zip(ours, theirs, strict=False))
    return next((n for n, (a, b) in both if a != b), min(len(ours), len(theirs)))


def read(opened: sqlite3.Connection) -> Turns:
    """Every turn in the record."""
    return Turns(opened.execute("SELECT at, setup FROM turns ORDER BY at, id").fetchall())


def read_since(opened: sqlite3.Connection, last: int) -> list[tuple[float, int | None]]:
    """Turns made after the one of this id, in the order in which they were."""
    return opened.execute(
        "SELECT at, setup FROM turns WHERE id > ? ORDER BY id", (last,)
    ).fetchall()


def turn(where: Path | Writing, number: int | None, by: str, when: float | None = None) -> None:
    """Have frames from now, or from `when` on, belong to the setup of this id, or to none.

    Raises
    ------
    SetupError
        There is no such setup.
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        if number is not None and not setups.listed(opened, {number}):
            raise SetupError("that setup is not on the list any more")
        _put(opened, number, by, when)


def turn_to(where: Path | Writing, text: str, by: str, when: float | None = None) -> Turned:
    """Turn to the setup of this code or name; one that is not on the list is opened.

    Raises
    ------
    SetupError
        It is not on the list and cannot be: its name holds control characters, or is too long.
    RecordError
        The record cannot be written.
    """
    setups.check_name(text)
    with once(where) as opened:
        found = setups.named(opened, text)
        new = found is None
        if found is None:
            setup = Setup(" ".join(text.split()))
            found = Listed(setups.added(opened, setup, by), setup, by)
        _put(opened, found.id, by, when)
        return Turned(found, new)


def turn_on(where: Path | Writing, by: str, when: float | None = None) -> Listed:
    """Turn to the setup that follows on the list, from now or from `when` on.

    Raises
    ------
    SetupError
        There is none.
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        made = opened.execute(
            "SELECT setup FROM turns WHERE at = ? AND by = ? ORDER BY id DESC", (when, by)
        ).fetchone()
        if made is not None:  # the same slate once more
            return setups.listed(opened, {made[0]})[0]
        now = setups.current(opened, when)
        following = setups.after(opened, now)
        if following is None:
            last = setups.listed(opened, {now} if now is not None else set())
            if not last:
                raise SetupError("there is no shot list")
            raise SetupError(f"{last[0].setup.name} is the last setup on the list")
        _put(opened, following.id, by, when)
        return following


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
