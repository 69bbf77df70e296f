"""A watch whose dashboard is dead is waited for, and one that is alive keeps its folder."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import psutil
import pytest

from tests.commands.test_second_screen import PROGRAM
from tests.commands.test_supervised import begun
from tests.dashboard.terminal import Terminal
from tests.frame.test_fence import gone
from tests.session.made import until
from tether.commands.watching import watch_here
from tether.session import lock
from tether.session.lock import AlreadyWatched, Lock, free, held, leave
from tether.session.schema import NAME
from tether.settings import Settings

HEADLESS = [sys.executable, "-m", "tether", "watch", "--headless"]


def watch_of(dashboard: int) -> psutil.Process:
    (found,) = (
        child for child in psutil.Process(dashboard).children() if "--supervised" in child.cmdline()
    )
    return found


@pytest.fixture
def orphan(folder: Path) -> Iterator[psutil.Process]:
    """A watch whose dashboard was killed, stopped so that it cannot end before it is looked for."""
    with Terminal("watch", str(folder), program=PROGRAM) as terminal:
        until(lambda: begun(folder))
        watch = watch_of(terminal.pid)
        watch.suspend()
        os.kill(terminal.pid, signal.SIGKILL)
        assert terminal.ended() == -signal.SIGKILL
    yield watch
    with suppress(psutil.NoSuchProcess):
        watch.kill()


def test_a_dashboard_started_again_waits_for_the_watch_of_the_one_that_was_killed(
    folder: Path, orphan: psutil.Process
) -> None:
    with Terminal("watch", str(folder), program=PROGRAM) as again:
        again.wait_for("waiting for the watch of before to end", within_s=20)
        orphan.resume()
        until(lambda: gone(orphan.pid))
        again.wait_for("watching", within_s=20)
        assert watch_of(again.pid).pid != orphan.pid
        again.type("q")
        assert again.ended(15) == 0


def test_a_watch_without_a_dashboard_waits_for_it_too(folder: Path, orphan: psutil.Process) -> None:
    with subprocess.Popen([*HEADLESS, str(folder)], stderr=subprocess.PIPE, text=True) as running:
        assert running.stderr is not None
        try:
            assert "waiting for the watch of before to end" in running.stderr.readline()
            orphan.resume()
            assert "watching" in running.stderr.readline()
            until(lambda: gone(orphan.pid))
        finally:
            running.kill()


@pytest.mark.usefixtures("orphan")
def test_one_that_does_not_end_is_not_waited_for_for_ever(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "LEAVING_S", 3.0)
    told: list[str] = []
    assert not free(folder, told.append)
    assert ["waiting" in one for one in told] == [True]
    with pytest.raises(AlreadyWatched), Lock(folder):
        pytest.fail("it is held")


def test_one_whose_dashboard_is_alive_keeps_its_folder_until_it_says_that_it_leaves(
    folder: Path,
) -> None:
    told: list[str] = []
    code = (
        "import sys, pathlib; from tether.session.lock import Lock, leave\n"
        "folder = pathlib.Path(sys.argv[1])\n"
        "with Lock(folder, int(sys.argv[2])):\n"
        "    print('held', flush=True); sys.stdin.readline()\n"
        "    leave(folder); print('leaving', flush=True); sys.stdin.readline()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(folder), str(os.getpid())],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        assert running.stdin is not None and running.stdout is not None
        assert running.stdout.readline() == "held\n"
        leave(folder)  # whoever holds it not cannot say so
        assert not free(folder, told.append)
        assert told == []
        running.stdin.write("\n")
        running.stdin.flush()
        assert running.stdout.readline() == "leaving\n"

        def let_go(_: str) -> None:
            assert running.stdin is not None
            running.stdin.close()

        assert free(folder, let_go)


def test_a_watch_that_is_not_wanted_any_more_once_it_has_started_begins_nothing(
    folder: Path,
) -> None:
    (stop := threading.Event()).set()
    watch_here(folder, Settings(), stop=stop, existing=False, told=[], alerted=[])
    assert not held(folder)
    assert not (folder / NAME).exists()
