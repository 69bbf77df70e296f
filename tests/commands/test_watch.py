"""`tether watch` and `tether rehearse` as processes: started, stopped, killed, started again."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.pictures import jpeg, portrait, write
from tests.session.made import until
from tether.session.reader import Reader
from tether.session.schema import NAME, RecordError

SHARP = jpeg(portrait())


@contextmanager
def watching(folder: Path, *options: str) -> Iterator[subprocess.Popen[str]]:
    """A headless watch in a process of its own, up and running."""
    command = [sys.executable, "-m", "tether", "watch", "--headless", "--json", *options]
    with subprocess.Popen(
        [*command, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        try:
            assert running.stderr is not None
            if "--supervised" not in options:
                assert "watching" in running.stderr.readline()
            yield running
        finally:
            running.kill()


def next_line(running: subprocess.Popen[str]) -> dict[str, Any]:
    assert running.stdout is not None
    return dict(json.loads(running.stdout.readline()))


def names(folder: Path) -> list[str]:
    try:
        return sorted(row.name for row in Reader(folder).rows_since(0))
    except RecordError:
        return []


def test_a_frame_that_lands_while_the_watch_starts_is_a_frame(folder: Path) -> None:
    write(folder / "bowl-0001.jpg", SHARP)
    command = [sys.executable, "-m", "tether", "watch", "--headless", "--json", str(folder)]
    time.sleep(0.05)  # more than the coarsest clock of a file system here
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as it:
        time.sleep(0.3)
        write(folder / "bowl-0002.jpg", SHARP)
        try:
            assert next_line(it)["frame"] == "bowl-0002"
            assert it.stderr is not None
            it.stderr.readline()
            assert "1 picture there already, passed over" in it.stderr.readline()
        finally:
            it.kill()
    assert names(folder) == ["bowl-0002"]


def test_each_frame_has_its_line_as_soon_as_it_is_judged(folder: Path) -> None:
    with watching(folder) as running:
        write(folder / "maker-0001.jpg", SHARP)
        line = next_line(running)
        assert (line["frame"], line["verdict"]) == ("maker-0001", "sharp")
        running.send_signal(signal.SIGTERM)
        assert running.wait(10) == 0
        assert running.stdout is not None
        assert running.stdout.read() == ""
    assert not (folder / f"{NAME}-wal").exists()


def test_frames_there_before_are_left_alone_unless_asked_for(folder: Path) -> None:
    write(folder / "before.jpg", SHARP)
    with watching(folder) as running:
        write(folder / "after.jpg", SHARP)
        assert next_line(running)["frame"] == "after"
    assert names(folder) == ["after"]
    with watching(folder, "--existing") as running:
        assert next_line(running)["frame"] == "before"


def test_frames_of_a_camera_whose_clock_is_centuries_ahead_are_frames(folder: Path) -> None:
    # An mtime_ns after 2262-04-11 does not fit 64 bits.
    far = (330 * 31_556_952, 330 * 31_556_952)
    os.utime(write(folder / "before.jpg", SHARP), far)
    frames = []
    for content, name in ((SHARP, "a.jpg"), (b"no picture", "b.jpg")):
        path = write(folder / f".{name}", content)
        os.utime(path, far)
        frames.append(path)
    with watching(folder) as running:
        for path in frames:
            path.rename(folder / path.name[1:])
        assert {next_line(running)["frame"] for _ in frames} == {"a", "b"}
    assert names(folder) == ["a", "b"]
    with watching(folder) as running:
        write(folder / "c.jpg", SHARP)
        assert next_line(running)["frame"] == "c", "the others are known"


def test_killed_at_any_instant_the_next_start_judges_what_was_in_hand(folder: Path) -> None:
    wanted = [f"bowl-{number:02}" for number in range(40)]
    with watching(folder) as running:
        for name in wanted[:20]:
            write(folder / f"{name}.jpg", SHARP)
        until(lambda: len(names(folder)) >= 5)
        running.send_signal(signal.SIGKILL)
        running.wait()
    said_before = names(folder)
    for name in wanted[20:]:
        write(folder / f"{name}.jpg", SHARP)  # and these came while nobody watched
    with watching(folder) as running:
        lines = [next_line(running) for _ in range(40 - len(said_before))]
        until(lambda: names(folder) == wanted)
    # All of them are recorded, and none of those that were has been judged again.
    assert sorted(line["frame"] for line in lines) == sorted(set(wanted) - set(said_before))


def test_a_second_watch_on_the_folder_is_refused(folder: Path) -> None:
    with watching(folder):
        second = subprocess.run(
            [sys.executable, "-m", "tether", "watch", "--headless", str(folder)],
            capture_output=True,
            text=True,
        )
    assert second.returncode == 2
    assert "is watched already" in second.stderr


def test_a_supervised_watch_ends_with_whoever_started_it(folder: Path) -> None:
    with watching(folder, "--supervised") as running:
        assert running.stdin is not None
        running.stdin.close()
        assert running.wait(10) == 0


def test_a_folder_that_is_not_there_is_a_usage_error(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tether", "watch", "--headless", str(tmp_path / "none")],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert "is no folder" in done.stderr


def test_a_folder_nothing_can_be_written_in_is_said(folder: Path) -> None:
    (folder / NAME).mkdir()  # where the record should be
    done = subprocess.run(
        [sys.executable, "-m", "tether", "watch", "--headless", str(folder)],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert NAME in done.stderr


def test_idle_it_takes_next_to_nothing(folder: Path) -> None:
    for number in range(50):
        write(folder / f"bowl-{number:02}.jpg", SHARP)
    with watching(folder) as running:
        time.sleep(1)
        before = sum(_cpu_s(running.pid))
        time.sleep(2)
        # Not a time but a share: a loop that spins takes all of it, however slow the machine.
        assert sum(_cpu_s(running.pid)) - before < 0.5


def _cpu_s(pid: int) -> tuple[float, float]:
    import psutil

    spent = psutil.Process(pid).cpu_times()
    return spent.user, spent.system


@pytest.mark.parametrize("stopped", [False, True])
def test_the_rehearsal_leaves_nothing_behind(tmp_path: Path, stopped: bool) -> None:
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    with subprocess.Popen(
        [sys.executable, "-m", "tether", "rehearse", "--headless", "--json"],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "TMPDIR": str(scratch)},
    ) as running:
        assert running.stdout is not None
        first = json.loads(running.stdout.readline())
        if stopped:
            running.send_signal(signal.SIGINT)
        rest = [json.loads(line) for line in running.stdout]
        assert running.wait(60) == 0
    assert first["frame"] == "slate-0001"
    assert len(rest) < 3 if stopped else len(rest) == 20
    assert not any(scratch.iterdir())


def test_a_watch_started_by_nohup_outlives_its_terminal(folder: Path) -> None:
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)  # children inherit it
    try:
        with watching(folder) as running:
            running.send_signal(signal.SIGHUP)
            write(folder / "maker-0001.jpg", SHARP)
            assert next_line(running)["frame"] == "maker-0001"
    finally:
        signal.signal(signal.SIGHUP, before)


@pytest.mark.parametrize("named", [".", "hot folder", "./hot folder/", "hot folder/../hot folder"])
def test_a_folder_may_be_named_from_where_one_stands(
    folder: Path, monkeypatch: pytest.MonkeyPatch, named: str
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2]))
    monkeypatch.chdir(folder if named == "." else folder.parent)
    write(folder / "before.jpg", SHARP)
    with watching(Path(named), "--existing") as running:
        assert next_line(running)["frame"] == "before"
        write(folder / "after.jpg", SHARP)
        line = next_line(running)
    assert line["frame"] == "after"
    assert Path(line["file"]).samefile(folder / "after.jpg")


def test_a_dashboard_is_refused_where_nothing_could_be_watched(folder: Path) -> None:
    command = [sys.executable, "-m", "tether", "watch", str(folder)]
    with watching(folder):
        second = subprocess.run(command, capture_output=True, text=True)
    assert second.returncode == 2
    assert "`tether show`" in second.stderr
    (folder / NAME).write_text("not a database" * 100)
    damaged = subprocess.run(command, capture_output=True, text=True)
    assert damaged.returncode == 2
    assert "; move that file away" in damaged.stderr
