"""A dashboard with a second screen beside it, on a real terminal."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import httpx
import psutil

from tests.dashboard.terminal import Terminal
from tests.second_screen.serving import free_port
from tests.session.made import until

PROGRAM = "import sys; from tether.cli import main; sys.argv[0] = 'tether'; main()"


def pages(pid: int) -> list[psutil.Process]:
    found = psutil.Process(pid).children(recursive=True)
    return [one for one in found if "tether.second_screen" in one.cmdline()]


def answers(port: int) -> bool:
    try:
        return httpx.get(f"http://127.0.0.1:{port}/alive").status_code in {204, 403}
    except httpx.TransportError:
        return False


def test_it_is_shown_served_started_again_and_gone_with_the_dashboard(folder: Path) -> None:
    port = free_port()
    asked = ["watch", str(folder), "--second-screen", "--host", "0.0.0.0", "--port", str(port)]
    with Terminal(*asked, program=PROGRAM) as terminal:
        terminal.wait_for("v", "second screen", within_s=20)
        until(lambda: answers(port))
        terminal.type("v")
        terminal.wait_for(f":{port}/", "Point a phone", "no screen is open")
        (page,) = pages(terminal.pid)
        page.kill()
        terminal.wait_for("ended by itself")
        terminal.wait_for(f":{port}/")
        until(lambda: answers(port))
        terminal.type("v")
        terminal.type("q")
        assert terminal.ended(15) == 0
        assert terminal.restored
    until(lambda: not answers(port))


def test_a_dashboard_that_is_killed_takes_it_along(folder: Path) -> None:
    port = free_port()
    asked = ["watch", str(folder), "--second-screen", "--port", str(port)]
    with Terminal(*asked, program=PROGRAM) as terminal:
        until(lambda: answers(port))
        (page,) = pages(terminal.pid)
        os.kill(terminal.pid, signal.SIGKILL)
        until(lambda: not page.is_running())
        assert terminal.ended() == -signal.SIGKILL


def test_a_port_in_use_is_said_on_the_dashboard(folder: Path) -> None:
    import socket

    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        asked = ["watch", str(folder), "--second-screen", "--port", str(port)]
        with Terminal(*asked, program=PROGRAM) as terminal:
            terminal.wait_for(f"second screen: port {port} is in use", within_s=20)
            terminal.type("q")
            assert terminal.ended(15) == 0
