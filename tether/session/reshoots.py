"""Setups that were left without the sharp frames they need."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Container, Sequence
from dataclasses import dataclass
from pathlib import Path

from tether.session.coverage import Coverage
from tether.session.turns import Turns
from tether.session.writing import Writing, next_revision, once

PASSING_S = 10.0
"""Our own choice: longer than it takes to press a key again, shorter than an arrangement."""


@dataclass(frozen=True, slots=True)
class Reshoot:
    """One of them, open; `raised` and `on_it` are in s since 1970, the latter once somebody is."""

    id: int
    coverage: Coverage
    raised: float
    on_it: float | None


def reconcile(
    opened: sqlite3.Connection,
    turns: Turns,
    covered: Sequence[Coverage],
    waiting: Container[int | None] = (),
) -> list[Coverage]:
    """Raise and close reshoots, so that they say what the session is like now.

    One is raised for a setup that was turned to, is not the one of now, and is uncovered; while
    frames of it still wait for their verdict, it is not known to be. A setup without a try that
    was turned to for less than `PASSING_S` was passed by on the way to another, not left. One is
    closed once its setup is covered.

    Returns
    -------
    list of Coverage
        The setups that a reshoot was raised for just now.
    """
    rows = opened.execute("SELECT id, setup FROM reshoots WHERE closed IS NULL").fetchall()
    by_setup = {setup: number for number, setup in rows}
    tried = {one.id for one in covered if one.tries}
    left = (tried & turns.been | turns.stayed(PASSING_S)) - {turns.now}
    raised = []
    for one in covered:
        if one.covered and one.id in by_setup:
            opened.execute(
                "UPDATE reshoots SET closed = ?, revision = ? WHERE id = ?",
                (time.time(), next_revision(opened), by_setup[one.id]),
            )
        elif not one.covered and one.id in left - by_setup.keys() and one.id not in waiting:
            opened.execute(
                "INSERT INTO reshoots (revision, setup, raised) VALUES (?, ?, ?)",
                (next_revision(opened), one.id, time.time()),
            )
            raised.append(one)
    return raised


def open_now(opened: sqlite3.Connection, covered: Sequence[Coverage]) -> list[Reshoot]:
    """Every open reshoot, the oldest first."""
    by_setup = {one.id: one for one in covered}
    rows = opened.execute(
        "SELECT id, setup, raised, on_it FROM reshoots WHERE closed IS NULL ORDER BY raised, id"
    ).fetchall()
    return [
        Reshoot(number, by_setup[setup], raised, on_it)
        for number, setup, raised, on_it in rows
        if setup in by_setup and not by_setup[setup].covered
    ]


def take(where: Path | Writing, number: int) -> None:
    """Say that somebody is on it; a reshoot that is closed stays so.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        opened.execute(
            "UPDATE reshoots SET on_it = ?, revision = ? WHERE id = ? AND on_it IS NULL",
            (time.time(), next_revision(opened), number),
        )
