"""Tries that are counted as frames come and go are those that counting them all would give."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tether.session import tries
from tether.session.schema import TABLES

Frame = tuple[int, int | None, str | None, float | None, float, str, str | None]

seconds = st.sampled_from([0.0, 0.4, 1.0, 1.4, 2.0, 2.6, 3.5, 9.0])
frame: st.SearchStrategy[Frame] = st.tuples(
    st.integers(1, 6),  # its id: one that is there changes
    st.sampled_from([None, 1, 1, 2]),
    st.sampled_from([None, "left"]),
    st.one_of(st.none(), seconds),
    seconds,
    st.sampled_from(["sharp", "soft"]),
    st.sampled_from([None, None, None, "a slate"]),
)
change = st.one_of(
    st.tuples(st.just("put"), frame),
    st.tuples(st.just("remove"), st.integers(1, 6)),
    st.tuples(st.just("overrule"), st.integers(1, 6)),
)


def counted(opened: sqlite3.Connection, burst_s: float) -> tuple[list[Any], list[Any]]:
    """Tries and counts as counting everything gives them."""
    found = opened.execute(tries.COUNTED, {"burst_s": burst_s}).fetchall()
    by_setup: dict[int, list[int]] = {}
    for setup, *_, sharp in found:
        has = by_setup.setdefault(setup, [0, 0])
        has[0] += sharp > 0
        has[1] += 1
    return sorted(found), sorted((setup, *has) for setup, has in by_setup.items())


def kept(opened: sqlite3.Connection) -> tuple[list[Any], list[Any]]:
    """Tries and counts as they are kept."""
    columns = "setup, camera, untold, begin, end, frames, sharp"
    return (
        sorted(opened.execute(f"SELECT {columns} FROM tries").fetchall()),
        sorted(opened.execute("SELECT * FROM counts WHERE tries").fetchall()),
    )


def do(opened: sqlite3.Connection, what: str, value: Frame | int) -> None:
    number = value if isinstance(value, int) else value[0]
    before = tries.position(opened, number)
    if isinstance(value, tuple):
        opened.execute("DELETE FROM frames WHERE id = ?", (number,))
        opened.execute(
            "INSERT INTO frames (id, revision, path, size, mtime_ns, name, line, setup, camera, "
            "taken, arrived, verdict, slate) VALUES (?, 0, ?, 0, 0, '', '{}', ?, ?, ?, ?, ?, ?)",
            (number, f"{number}".encode(), *value[1:]),
        )
    elif what == "remove":
        opened.execute("DELETE FROM overrules WHERE frame = ?", (number,))
        opened.execute("DELETE FROM frames WHERE id = ?", (number,))
    else:
        opened.execute(
            "INSERT OR REPLACE INTO overrules SELECT id, 0, "
            "iif(verdict = 'sharp', 'soft', 'sharp'), '', 0 FROM frames WHERE id = ?",
            (number,),
        )
    tries.moved(opened, before, tries.position(opened, number))


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.lists(change, max_size=25), st.sampled_from([0.5, 1.0]))
def test_whatever_comes_and_goes(changes: list[tuple[str, Frame | int]], burst_s: float) -> None:
    with closing(sqlite3.connect(":memory:")) as opened:
        opened.executescript(TABLES)
        tries.count_by(opened, burst_s)
        for what, value in changes:
            do(opened, what, value)
            assert kept(opened) == counted(opened, burst_s)


def test_another_length_of_a_burst_counts_anew() -> None:
    with closing(sqlite3.connect(":memory:")) as opened:
        opened.executescript(TABLES)
        tries.count_by(opened, 1.0)
        for number, at in enumerate((0.0, 0.8, 1.6), start=1):
            do(opened, "put", (number, 1, None, at, at, "sharp", None))
        assert kept(opened)[1] == [(1, 1, 1)]
        tries.count_by(opened, 0.5)
        assert kept(opened)[1] == [(1, 3, 3)]
