from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.dashboard.demo import entry
from tests.dashboard.terminal import PROGRAM, ROOT, RUN, Terminal
from tether.session.record import Record

CRASHING = PROGRAM + "sys.exit(run(pathlib.Path(sys.argv[1]), notice=lambda: 1 // 0))"
CRASHING_FEED = (
    "import tether.dashboard.feed as feed; feed.schema.inode = lambda path: 1 // 0; " + RUN
)
CRASHING_DRIVER = (
    "import textual.app as a; a.App._process_messages = lambda *x, **y: 1 // 0; " + RUN
)


def test_leaving_gives_the_terminal_back(folder: Path, record: Record) -> None:
    record.add(entry(1))
    with Terminal(str(folder)) as terminal:
        terminal.wait_for("bowl-0001")
        assert not terminal.restored
        terminal.type("q")
        assert terminal.ended() == 0
        assert terminal.restored


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_gives_the_terminal_back(folder: Path, record: Record, number: int) -> None:
    record.add(entry(1))
    with Terminal(str(folder)) as terminal:
        terminal.wait_for("bowl-0001")
        os.kill(terminal.pid, number)
        assert terminal.ended() == 128 + number
        assert terminal.restored


@pytest.mark.parametrize("program", [CRASHING, CRASHING_FEED, CRASHING_DRIVER])
def test_a_crash_gives_the_terminal_back_and_tells_why(folder: Path, program: str) -> None:
    with Terminal(str(folder), program=program) as terminal:
        assert terminal.ended() == 1
        assert terminal.restored
        left = terminal.written.rfind(b"\x1b[?1049l")
        assert b"ZeroDivisionError" in terminal.written[left:]


def test_a_terminal_that_is_closed_ends_it(folder: Path, record: Record) -> None:
    record.add(entry(1))
    with Terminal(str(folder)) as terminal:
        terminal.wait_for("bowl-0001")
        terminal.hang_up()
        assert terminal.ended() != 0


def test_errors_redirected_to_a_file_leave_the_screen_alone(folder: Path, record: Record) -> None:
    record.add(entry(1))
    log = folder / "log"
    program = f"import os; os.dup2(os.open({str(log)!r}, os.O_CREAT | os.O_WRONLY), 2); " + RUN
    with Terminal(str(folder), program=program) as terminal:
        terminal.wait_for("bowl-0001")
        terminal.type("q")
        assert terminal.ended() == 0
        assert log.read_bytes() == b""


def test_without_a_terminal_it_says_so(folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(folder)],
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert done.stderr == "the dashboard needs a terminal\n"
    assert done.stdout == ""
