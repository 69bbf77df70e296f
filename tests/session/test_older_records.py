"""A record that an older program wrote is opened by this one, and nothing in it is lost."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.session.made import raws
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.schema import NAME, VERSION

WRITTEN = Path(__file__).with_name("record_3.sql")


@pytest.fixture
def old(folder: Path) -> Path:
    with closing(sqlite3.connect(folder / NAME)) as opened:
        opened.executescript(WRITTEN.read_text(encoding="utf-8"))
    return folder


def has(folder: Path) -> list[tuple[str, int, int]]:
    return [(one.setup.name, one.has, one.tries) for one in Reader(folder).progress().setups]


def test_a_reader_counts_it_through_and_leaves_it_as_it_is(old: Path) -> None:
    before = (old / NAME).read_bytes()
    reader = Reader(old)
    rows = sorted(reader.rows_since(0), key=lambda row: row.id)
    assert [row.stands for row in rows] == ["sharp", "sharp", "soft", "sharp"]
    assert has(old) == [("Bowl", 1, 2), ("The maker", 1, 1)]
    assert reader.removed_since(0) == []
    reader.close()
    assert (old / NAME).read_bytes() == before


def test_opened_for_writing_it_is_of_this_version_and_says_the_same(old: Path) -> None:
    record = Record(old)
    record.open()
    first, second, third, fourth = record.frames()
    assert [one.path for one in (first, second, third, fourth)] == [
        Path(f"{name}.jpg") for name in ("bowl-0001", "bowl-0002", "bowl-0003", "maker-0001")
    ]
    assert third.unfinished
    assert raws(old) == {Path("bowl-0001.jpg"): [Path("bowl-0001.dng")]}
    assert [path for path, _ in record.passed_over()] == [Path("old.jpg")]
    assert has(old) == [("Bowl", 1, 2), ("The maker", 1, 1)]
    # Digests of samples are no digests of what is there.
    assert {one.digest for one in record.frames()} == {None}
    with closing(sqlite3.connect(old / NAME)) as opened:
        assert opened.execute("PRAGMA user_version").fetchone() == (VERSION,)


def test_what_changes_after_is_counted_on(old: Path) -> None:
    record = Record(old)
    record.remove(1)
    assert has(old) == [("Bowl", 1, 2), ("The maker", 1, 1)], "the other one of the burst is sharp"
    record.remove(2)
    assert has(old) == [("Bowl", 0, 1), ("The maker", 1, 1)]
