"""A supervised watch is kept going, and says why when it cannot be."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import psutil
import pytest

from tests.pictures import jpeg, portrait, write
from tests.session.made import until
from tether.commands.supervised import SupervisedWatch
from tether.session.lock import Lock, held
from tether.session.reader import Reader
from tether.session.record import Record


def children() -> list[int]:
    return [child.pid for child in psutil.Process(os.getpid()).children() if is_watch(child)]


def is_watch(child: psutil.Process) -> bool:
    """Not a metadata reader that another test started; a process at its end has no command."""
    try:
        return "--supervised" in child.cmdline()
    except psutil.NoSuchProcess:
        return True


def begun(folder: Path) -> bool:
    """Whether what lay there before was passed over: from here on all that comes is a frame."""
    record = Record(folder)
    try:
        return held(folder) and record.begun()
    finally:
        record.close()


def test_a_watch_that_dies_is_started_again_and_goes_on(folder: Path) -> None:
    with SupervisedWatch(["--", str(folder)]) as watch:
        until(lambda: begun(folder))
        (child,) = children()
        os.kill(child, signal.SIGKILL)
        until(lambda: "started again" in (watch.line() or ""))
        write(folder / "maker-0001.jpg", jpeg(portrait()))
        until(lambda: [row.name for row in Reader(folder).rows_since(0)] == ["maker-0001"])
    until(lambda: not held(folder))
    assert children() == []


def test_a_watch_that_is_refused_is_not_and_its_reason_stays(folder: Path) -> None:
    with Lock(folder), SupervisedWatch(["--", str(folder)]) as watch:
        until(lambda: "is watched already" in (watch.line() or ""))
        until(lambda: children() == [])
        assert "is watched already" in (watch.line() or "")


def test_one_that_ran_and_is_refused_later_is_tried_again(folder: Path) -> None:
    with SupervisedWatch(["--", str(folder)]) as watch:
        until(lambda: begun(folder))
        assert watch.pid is not None
        os.kill(watch.pid, signal.SIGKILL)
        with Lock(folder):
            until(lambda: "ended by itself (status 2: " in (watch.line() or ""))
        until(lambda: held(folder))


def program(path: Path, script: str) -> None:
    """Put a program there in place of the interpreter, whole at once."""
    part = path.with_name("part")
    part.write_text(f"#!/bin/sh\n{script}\n")
    part.chmod(0o755)
    part.replace(path)


def test_a_watch_that_cannot_be_started_is_tried_again(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, path = sys.executable, tmp_path / "python"
    monkeypatch.setattr(sys, "executable", str(path))
    with SupervisedWatch(["--", str(folder)]) as watch:
        until(lambda: "the watch cannot be started (No such file" in (watch.line() or ""))
        program(path, f'exec {real} "$@"')
        until(lambda: begun(folder))


def test_one_that_crashes_again_and_again_says_why_and_goes_on_trying(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, path = sys.executable, tmp_path / "python"
    monkeypatch.setattr(sys, "executable", str(path))
    program(path, 'echo "tether: no room left" >&2; exit 7')
    with SupervisedWatch(["--", str(folder)]) as watch:
        until(lambda: "3 times in a row now" in (watch.line() or ""))
        assert watch.line() == (
            "the watch ended by itself (status 7: no room left): 3 times in a row now; "
            "it is started again in 4 s"
        )
        program(path, "kill -SEGV $$")
        until(lambda: "(SIGSEGV): 4 times in a row now" in (watch.line() or ""))
        assert "again in 8 s" in (watch.line() or "")
        program(path, f'exec {real} "$@"')
        until(lambda: begun(folder))


@pytest.mark.parametrize("crashed", [False, True])
def test_leaving_ends_the_one_that_runs_now(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, crashed: bool
) -> None:
    path, started = tmp_path / "python", tmp_path / "started"
    monkeypatch.setattr(sys, "executable", str(path))
    # It takes no notice of its input's end; the first of them crashes, or not.
    crash = f"[ $(wc -l < {started}) -lt 2 ] && exit 7; " if crashed else ""
    program(path, f"echo $$ >> {started}; {crash}exec sleep 600")
    with SupervisedWatch(["--", str(folder)], leaving_s=0.3) as watch:
        until(lambda: started.exists() and len(started.read_text().split()) == 1 + crashed)
        until(lambda: watch.pid is not None)
        assert started.read_text().split()[-1] == str(watch.pid)
    assert watch.pid is None
    assert not any(psutil.pid_exists(int(pid)) for pid in started.read_text().split())


def test_one_whose_output_somebody_else_holds_open_is_started_again(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, started = tmp_path / "python", tmp_path / "started"
    monkeypatch.setattr(sys, "executable", str(path))
    program(path, f"sleep 30 & echo $! >> {started}; exit 7")
    with SupervisedWatch(["--", str(folder)]):
        until(lambda: started.exists() and len(started.read_text().split()) == 2)
    for pid in started.read_text().split():
        os.kill(int(pid), signal.SIGKILL)
