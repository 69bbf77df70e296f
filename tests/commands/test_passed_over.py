"""What lay in the folders before a session began there is no frame of it, unless asked for."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from tests.pictures import write
from tether.commands.passed_over import pass_over
from tether.session.record import Record
from tether.session.roots import Roots


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    (made := tmp_path / "shelf").mkdir()
    return made


def passed_over(folder: Path) -> set[Path]:
    return {path for path, _ in Record(folder).passed_over()}


def later() -> int:
    time.sleep(0.05)  # more than the coarsest clock of a file system here
    return time.time_ns()


def test_a_folder_is_passed_over_when_it_joins_and_never_again(folder: Path, shelf: Path) -> None:
    write(folder / "one.jpg", b"1")
    write(shelf / "one.jpg", b"1")
    assert pass_over(Roots(folder), later(), existing=False) == 1
    assert passed_over(folder) == {Path("one.jpg")}
    write(folder / "two.jpg", b"2")  # while nobody watched
    both = Roots(folder, [shelf])
    assert pass_over(both, later(), existing=False) == 1
    assert passed_over(folder) == {Path("one.jpg"), shelf / "one.jpg"}
    write(shelf / "two.jpg", b"2")
    assert pass_over(both, later(), existing=False) == 0


def test_what_comes_while_the_watch_starts_is_a_frame(folder: Path, shelf: Path) -> None:
    since = later()
    write(shelf / "one.jpg", b"1")
    assert pass_over(Roots(folder, [shelf]), since, existing=False) == 0


def test_asked_for_they_are_frames_all(folder: Path, shelf: Path) -> None:
    write(folder / "one.jpg", b"1")
    write(shelf / "one.jpg", b"1")
    both = Roots(folder, [shelf])
    assert pass_over(both, later(), existing=False) == 2
    assert pass_over(both, later(), existing=True) == 0
    assert passed_over(folder) == set()
    assert pass_over(both, later(), existing=False) == 0
