"""A file's bytes, what the system says of it, and a digest that tells every change."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tether.frame.file import Changing, FileIdentity, Unreadable, digest, identity, read

LARGE = 100_000_000  # takes tens of milliseconds to read: the writer beside it comes to its turn


@contextmanager
def written_meanwhile(path: Path, write: Callable[[int], object]) -> Iterator[None]:
    """Somebody writes into the file, again and again, from before this begins until it ends."""
    begun, done = threading.Event(), threading.Event()

    def go_on() -> None:
        number = os.open(path, os.O_WRONLY)
        while not done.is_set():
            write(number)
            begun.set()
        os.close(number)

    writer = threading.Thread(target=go_on)
    writer.start()
    begun.wait()
    try:
        yield
    finally:
        done.set()
        writer.join()


@pytest.mark.parametrize(
    "write",
    [
        lambda number: os.pwrite(number, b"glaze", os.fstat(number).st_size),
        lambda number: os.pwrite(number, os.urandom(5), LARGE // 2),
        lambda number: os.ftruncate(number, os.fstat(number).st_size - 1),
    ],
    ids=["grows", "is written over", "shrinks"],
)
def test_a_file_that_changes_while_it_is_read_is_refused(
    write: Callable[[int], object], tmp_path: Path
) -> None:
    path = tmp_path / "bowl.tif"
    with path.open("wb") as file:
        file.truncate(LARGE)
    with written_meanwhile(path, write), pytest.raises(Changing, match="still being written"):
        read(path)
    assert len(read(path).data) == path.stat().st_size
    assert issubclass(Changing, Unreadable)


def test_a_file_of_which_fewer_bytes_come_than_it_is_said_to_have_is_refused() -> None:
    # Linux says of its own settings that they have a page of bytes, and gives a few.
    path = Path("/sys/kernel/mm/transparent_hugepage/enabled")
    if not path.exists() or path.stat().st_size == len(path.read_bytes()):
        pytest.skip("no such file here")
    with pytest.raises(Changing):
        read(path)


def test_content_is_told_with_what_the_file_was(tmp_path: Path) -> None:
    path = tmp_path / "bowl.jpg"
    path.write_bytes(b"glaze")
    told, found = path.stat(), read(path)
    assert found.data == b"glaze"
    assert found.identity == identity(told)
    assert found.identity == FileIdentity(told.st_dev, told.st_ino, 5, told.st_mtime_ns)
    assert (found.size, found.mtime_ns) == (5, told.st_mtime_ns)


def test_whatever_the_system_says_fits_the_record(tmp_path: Path) -> None:
    path = tmp_path / "bowl.jpg"
    path.write_bytes(b"glaze")
    seen = []
    for year in (2300, 2301):
        when = (year - 1970) * 31_556_952
        os.utime(path, (when, when))
        assert path.stat().st_mtime == when, "a file system that knows such years"
        seen.append(read(path).identity)
    # An inode past 63 bits, as some network file systems number theirs.
    told = (0o100644, 2**64 - 2, 2**64 - 3, 1, 0, 0, 5, 0, 0, 0)
    far = os.stat_result(told, {"st_mtime_ns": 7})
    seen.append(identity(far))
    with sqlite3.connect(":memory:") as opened:
        opened.execute("CREATE TABLE seen (device INT, inode INT, size INT, mtime_ns INT)")
        for one in seen:
            row = (one.device, one.inode, one.size, one.mtime_ns)
            opened.execute("INSERT INTO seen VALUES (?, ?, ?, ?)", row)
        rows = opened.execute("SELECT * FROM seen").fetchall()
    assert [FileIdentity(*row) for row in rows] == seen
    assert len(set(seen)) == 3


@pytest.mark.parametrize("size", [5, 5_000, 20_000_000])
def test_a_digest_tells_any_byte_from_another(size: int) -> None:
    data = bytearray(size)
    seen = {digest(data)}
    places = {0, size // 3, size // 2, size - 1}
    for at in places:
        data[at] ^= 1
        seen.add(digest(data))
        data[at] ^= 1
    assert len(seen) == 1 + len(places)
    assert {len(one) for one in seen} == {16}
    assert digest(data) == digest(bytes(size)) != digest(bytes(size + 1))
