"""`tether watch A B` as a process: one session over two folders, and what is refused."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands.test_watch import SHARP, names, next_line, watching
from tests.dashboard.terminal import Terminal
from tests.pictures import write
from tests.session.made import until
from tether.session.lock import held
from tether.session.record import Record
from tether.session.schema import LOCK_NAME, NAME


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    (made := tmp_path / "shelf").mkdir()
    return made


def refused(*folders: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "tether", "watch", "--headless", *map(str, folders)],
        capture_output=True,
        text=True,
        timeout=30,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    return " ".join(done.stderr.split())


def test_frames_of_both_are_one_session_in_the_first_folder(folder: Path, shelf: Path) -> None:
    with watching(shelf, str(folder)) as running:
        write(folder / "bowl.jpg", SHARP)
        first = next_line(running)
        write(shelf / "bowl.jpg", SHARP)
        second = next_line(running)
        running.send_signal(signal.SIGTERM)
        assert running.wait(10) == 0
    assert (first["frame"], second["frame"]) == ("bowl", "shelf/bowl")
    assert "camera" not in first  # the contract's keys are what they were
    assert names(folder) == ["bowl", "shelf/bowl"]


def test_what_lay_in_a_folder_before_it_joined_is_no_frame(folder: Path, shelf: Path) -> None:
    write(folder / "one.jpg", SHARP)
    write(shelf / "one.jpg", SHARP)
    with watching(folder, "--existing") as running:
        assert next_line(running)["frame"] == "one"
    command = [sys.executable, "-m", "tether", "watch", "--headless", "--json"]
    with subprocess.Popen(
        [*command, str(folder), str(shelf)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        try:
            assert running.stderr is not None
            assert running.stderr.readline() == f"tether: watching {folder} and {shelf}\n"
            assert "1 picture there already, passed over" in running.stderr.readline()
            write(shelf / "two.jpg", SHARP)
            line = next_line(running)
            assert (line["frame"], line["file"]) == ("shelf/two", str(shelf / "two.jpg"))
        finally:
            running.kill()
    write(shelf / "three.jpg", SHARP)  # while nobody watched
    with watching(shelf, str(folder)) as running:
        assert next_line(running)["frame"] == "shelf/three"
        assert sorted(names(folder)) == ["one", "shelf/three", "shelf/two"]
    assert sorted(one.name for one in shelf.iterdir()) == [
        "one.jpg",
        LOCK_NAME,
        "three.jpg",
        "two.jpg",
    ]


def test_a_second_watch_on_either_is_refused(folder: Path, shelf: Path, tmp_path: Path) -> None:
    (third := tmp_path / "third").mkdir()
    with watching(shelf, str(folder)):
        assert "is watched already" in refused(folder)
        assert "is watched already" in refused(shelf)
        assert "is watched already" in refused(third, folder)
    assert not (third / NAME).exists()


def test_a_folder_that_cannot_be_locked_is_watched_and_that_is_said(
    folder: Path, shelf: Path
) -> None:
    (shelf / LOCK_NAME).mkdir()  # nobody can write there, not even root
    with subprocess.Popen(
        [sys.executable, "-m", "tether", "watch", "--headless", "--json", str(folder), str(shelf)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        try:
            assert running.stderr is not None
            assert "nothing can be written in" in running.stderr.readline()
            assert "watching" in running.stderr.readline()
            write(shelf / "bowl.jpg", SHARP)
            assert next_line(running)["frame"] == "shelf/bowl"
        finally:
            running.kill()


def test_the_dashboard_watches_both_and_says_whose_a_frame_is(folder: Path, shelf: Path) -> None:
    words = ["tether", "watch", str(folder), str(shelf)]
    program = f"import sys; sys.argv = {words!r}; from tether.cli import main; main()"
    with Terminal(program=program) as terminal:
        until(lambda: held(folder) and held(shelf) and Record(folder).begun())
        write(shelf / "bowl.jpg", SHARP)
        until(lambda: names(folder) == ["shelf/bowl"])
        terminal.wait_for("shelf/bowl")
        terminal.type("f")
        terminal.wait_for("camera")
        terminal.type("q")
        assert terminal.ended(20) == 0
    until(lambda: not held(folder) and not held(shelf))


def test_folders_that_do_not_go_together_are_refused(folder: Path, shelf: Path) -> None:
    (inner := folder / "bowls").mkdir()
    assert "lies in" in refused(folder, inner)
    assert "lies in" in refused(inner, folder)
    assert "is the same folder as" in refused(folder, folder)
    assert "is no folder" in refused(folder, shelf / "none")
    assert [one.name for one in folder.iterdir()] == ["bowls"]
    assert not list(shelf.iterdir())
