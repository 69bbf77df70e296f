"""What lay in the folders before a session began there is no frame of it, unless asked for."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.pictures import write
from tether.commands.passed_over import pass_over
from tether.session.lock import Lock
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


# What happens at some moment of a watch's start, and kills it there.
_KILL = "import os, signal, sys\ndef kill(*_, **__): os.kill(os.getpid(), signal.SIGKILL)\n"
_IMPORTING = (
    "class Finder:\n"
    "    def find_spec(self, name, *_):\n"
    "        if name == {module!r}: kill()\n"
    "sys.meta_path.insert(0, Finder())\n"
)
MOMENTS = {
    "before the watch is loaded": _IMPORTING.format(module="tether.commands.watching"),
    "before files are passed over": (
        "from tether.session.record import Record\nRecord.pass_over = kill\n"
    ),
    "after that": "from tether.session.joined import JoinedFolders\nJoinedFolders.note = kill\n",
}


@pytest.mark.parametrize("moment", MOMENTS)
def test_whenever_the_first_watch_is_killed_what_came_after_its_start_is_a_frame(
    folder: Path, shelf: Path, moment: str
) -> None:
    write(folder / "before.jpg", b"1")
    write(shelf / "before.jpg", b"1")
    later()
    program = _KILL + MOMENTS[moment] + "from tether.cli import main\nmain()"
    asked = [sys.executable, "-c", program, "watch", "--headless", str(folder), str(shelf)]
    killed = subprocess.run(asked, stderr=subprocess.PIPE)
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    write(folder / "after.jpg", b"2")
    write(shelf / "after.jpg", b"2")
    assert pass_over(Roots(folder, [shelf]), later(), existing=False) == 2
    assert passed_over(folder) == {Path("before.jpg"), shelf / "before.jpg"}
    write(folder / "between.jpg", b"3")
    assert pass_over(Roots(folder, [shelf]), later(), existing=False) == 0


def test_a_folder_that_is_watched_keeps_no_start_of_one_that_is_refused(
    folder: Path, shelf: Path
) -> None:
    assert pass_over(Roots(folder), later(), existing=False) == 0
    command = [sys.executable, "-m", "tether", "watch", "--headless", str(folder), str(shelf)]
    with Lock(folder):
        assert subprocess.run(command, stderr=subprocess.PIPE).returncode == 2
    write(shelf / "later.jpg", b"1")
    assert pass_over(Roots(folder, [shelf]), later(), existing=False) == 1
