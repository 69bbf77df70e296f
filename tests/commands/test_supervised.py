"""A supervised watch is kept going, and says why when it cannot be."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import psutil

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
