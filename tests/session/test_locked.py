"""Another program may hold the record: verdicts come all the same, and nothing is lost."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from tests.pictures import write
from tests.session import oracle
from tests.session.made import until
from tests.session.running import Begin
from tether.session.schema import NAME

HOLDS = ("IMMEDIATE", "EXCLUSIVE")


@contextmanager
def locked(folder: Path, how: str) -> Iterator[None]:
    """Hold the record's write lock, as a program does that looks into it and goes to lunch."""
    with closing(sqlite3.connect(folder / NAME, isolation_level=None)) as opened:
        opened.execute(f"BEGIN {how}")
        yield
        opened.execute("ROLLBACK")


@pytest.mark.parametrize("how", HOLDS)
def test_verdicts_come_while_the_record_is_locked_and_are_recorded_after(
    folder: Path, watched: Begin, how: str
) -> None:
    running = watched(oracle.settings())
    write(folder / "bowl-0.jpg", oracle.pictures()[0])
    running.until_told(1)
    with locked(folder, how):
        for nth in range(1, 6):
            write(folder / f"bowl-{nth}.jpg", oracle.pictures()[nth])
            until(lambda told=nth + 1: len(running.told) == told)  # type: ignore[misc]
        assert len(oracle.recorded(folder)) == 1
    until(lambda: len(oracle.recorded(folder)) == 6)
    assert not oracle.faults(folder)


@pytest.mark.parametrize("how", HOLDS)
def test_the_watch_ends_while_the_record_is_locked_and_the_next_one_lacks_nothing(
    folder: Path, watched: Begin, how: str
) -> None:
    running = watched(oracle.settings())
    write(folder / "bowl-0.jpg", oracle.pictures()[0])
    running.until_told(1)
    thread = running.thread
    assert thread is not None
    with locked(folder, how):
        for nth in range(1, 6):
            write(folder / f"bowl-{nth}.jpg", oracle.pictures()[nth])
        until(lambda: len(running.alerted) > 1)
        running.stop.set()
        thread.join(10)
        assert not thread.is_alive()
    watched(oracle.settings())
    until(lambda: len(oracle.recorded(folder)) == 6)
    assert not oracle.faults(folder)
