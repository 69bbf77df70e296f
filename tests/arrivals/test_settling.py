"""How long a file must rest before it counts as whole, with a clock that is set by hand."""

from pathlib import Path

import pytest

from tests.arrivals.pictures import jpeg, tiff
from tether.arrivals.delivered import Delivered
from tether.arrivals.settling import (
    AT_REST,
    AT_REST_UNMARKED,
    PATIENCE,
    TWO_LOOKS,
    Settling,
)
from tether.arrivals.source import Whole
from tether.frame.file import identity


class Bench:
    """A settling with its clock; `rest_of` tells after how many seconds a file is whole."""

    def __init__(self) -> None:
        self.now = 1000.0
        self.settling = Settling(Delivered(), clock=lambda: self.now)

    def rest_of(self, path: Path, *, closed: bool = False) -> float:
        began = self.now
        arrival = self.settling.consider(str(path), closed=closed)
        while arrival is None:
            due = self.settling.next_due()
            assert due is not None
            self.now = max(self.now, due)
            arrival = self.settling.consider_next()
        assert isinstance(arrival, Whole)
        return self.now - began


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.mark.parametrize(
    ("name", "content", "closed", "seconds"),
    [
        ("a.jpg", jpeg(), True, 0.0),
        ("a.jpg", jpeg() + bytes(9), True, 0.0),
        ("a.jpg", jpeg(), False, TWO_LOOKS),
        ("a.jpg", jpeg() + bytes(9), False, AT_REST),
        ("a.jpg", jpeg()[:-2], True, PATIENCE),
        ("a.jpg", b"", True, PATIENCE),
        ("a.tif", tiff(), True, AT_REST),
        ("a.tif", tiff(), False, AT_REST_UNMARKED),
        ("a.cr3", b"", False, PATIENCE),
    ],
)
def test_the_rest_that_is_asked(
    bench: Bench, tmp_path: Path, name: str, content: bytes, closed: bool, seconds: float
) -> None:
    (tmp_path / name).write_bytes(content)
    assert bench.rest_of(tmp_path / name, closed=closed) == pytest.approx(seconds)


def test_where_no_close_comes_a_file_without_an_end_mark_rests_longer(
    bench: Bench, tmp_path: Path
) -> None:
    bench.settling.closes_come = False
    (tmp_path / "a.nef").write_bytes(tiff())
    assert bench.rest_of(tmp_path / "a.nef") == pytest.approx(PATIENCE)


def test_a_close_counts_for_the_content_it_closed_only(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg()[:-2])
    assert bench.settling.consider(str(path), closed=True) is None
    path.write_bytes(jpeg(50_000))
    assert bench.rest_of(path) == pytest.approx(TWO_LOOKS)


def test_a_file_that_grows_is_looked_at_again_and_is_whole_with_its_end(
    bench: Bench, tmp_path: Path
) -> None:
    path = tmp_path / "a.jpg"
    content = jpeg(10_000)
    for end in range(1000, 10_000, 1000):
        path.write_bytes(content[:end])
        assert bench.settling.consider_next() is None
        assert bench.settling.consider(str(path)) is None
        bench.now += 1.0
    path.write_bytes(content)
    assert bench.rest_of(path, closed=True) == 0.0
    assert len(bench.settling) == 0
    assert bench.settling.next_due() is None


def test_what_was_delivered_is_not_delivered_again(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg())
    bench.rest_of(path, closed=True)
    assert bench.settling.consider(str(path), closed=True) is None
    assert len(bench.settling) == 0


def test_a_file_that_is_gone_waits_no_longer(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(b"")
    bench.settling.expect(str(path))
    path.unlink()
    assert bench.settling.consider_next() is None
    assert len(bench.settling) == 0


def test_a_delivered_file_under_another_name_is_as_whole_as_it_was(
    bench: Bench, tmp_path: Path
) -> None:
    old, new = tmp_path / "a.jpg", tmp_path / "b.jpg"
    old.write_bytes(jpeg()[:-2])  # without its end it would have to wait
    bench.rest_of(old, closed=True)
    old.rename(new)
    moved = bench.settling.consider(str(new))
    assert isinstance(moved, Whole)
    assert (moved.path, moved.file) == (new, identity(new.stat()))


def test_a_copy_and_a_hard_link_are_files_of_their_own(bench: Bench, tmp_path: Path) -> None:
    first, link = tmp_path / "a.jpg", tmp_path / "b.jpg"
    first.write_bytes(jpeg())
    bench.rest_of(first, closed=True)
    link.hardlink_to(first)
    assert bench.rest_of(link) == 0.0  # it is the file that was whole already
