"""The page's process comes and goes with whoever asked for it, and takes nobody along."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import psutil
import pytest

from tests.pictures import jpeg, portrait, write
from tests.second_screen import demo
from tests.second_screen.serving import Page, free_port, served
from tests.session.made import until
from tether.commands.second_screen import SecondScreen
from tether.session.lock import held
from tether.session.record import Record

PARENT = """
import sys, time
from pathlib import Path
from tether.commands.second_screen import SecondScreen
with SecondScreen(Path(sys.argv[1]), "127.0.0.1", int(sys.argv[2]), picture=False) as page:
    while not page.invitation().address:
        time.sleep(0.05)
    print(page.pid, flush=True)
    time.sleep(600)
"""


def watch(folder: Path, *more: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tether", "watch", str(folder), "--headless", *more]
    return subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, bufsize=1
    )


def lines_until(running: subprocess.Popen[str], word: str) -> str:
    assert running.stderr is not None
    for line in running.stderr:
        if word in line:
            return line
    raise AssertionError(f"it never said {word!r}")


def test_one_that_dies_is_started_again_and_lets_the_same_screens_in(
    folder: Path, record: Record
) -> None:
    demo.filled(folder, record)
    with served(folder, host="0.0.0.0") as page, page.paired() as tablet:
        first, code = page.pid, page.invitation.code
        os.kill(first, signal.SIGKILL)
        until(lambda: page.pid != first and bool(page.invitation.address))
        until(lambda: reached(page, tablet))
        assert page.invitation.code not in {"", code}


def reached(page: Page, tablet: object) -> bool:
    import httpx

    assert isinstance(tablet, httpx.Client)
    try:
        return tablet.get("/alive").status_code == 204
    except httpx.TransportError:
        return False


def test_it_ends_when_its_parent_does_however_that_ends(folder: Path, record: Record) -> None:
    record.open()
    for number in (signal.SIGTERM, signal.SIGKILL):
        command = [sys.executable, "-c", PARENT, str(folder), str(free_port())]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as parent:
            assert parent.stdout is not None
            child = psutil.Process(int(parent.stdout.readline()))
            assert "tether.second_screen" in child.cmdline()
            parent.send_signal(number)
        until(lambda child=child: not child.is_running())  # type: ignore[misc]


def test_a_port_in_use_is_told_and_taken_when_it_is_free(folder: Path, record: Record) -> None:
    record.open()
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with SecondScreen(folder, "127.0.0.1", port, picture=False) as page:
            until(lambda: page.line() is not None)
            assert page.line() == (
                f"second screen: port {port} is in use; name another one with --port"
            )
            other.close()
            until(lambda: page.invitation().address == f"http://127.0.0.1:{port}/")
            assert page.line() is None


def test_a_watch_without_a_screen_of_its_own_says_where_the_page_is(folder: Path) -> None:
    port = free_port()
    with watch(folder, "--second-screen", "--port", str(port)) as running:
        line = lines_until(running, "second screen")
        assert line.strip() == f"tether: second screen: http://127.0.0.1:{port}/"
        until(lambda: held(folder))
        page = psutil.Process(running.pid).children()
        assert [one for one in page if "tether.second_screen" in one.cmdline()]
        running.terminate()
    assert running.returncode == 0
    gone, alive = psutil.wait_procs(page, 5)
    assert not alive, gone


def test_beyond_loopback_it_says_the_code_too(folder: Path) -> None:
    port = str(free_port())
    with watch(folder, "--second-screen", "--host", "0.0.0.0", "--port", port) as running:
        line = lines_until(running, "second screen")
        running.terminate()
    assert f":{port}/ code " in line
    assert f":{port}/pair/" in line


@pytest.mark.parametrize("host", ["203.0.113.77", "no-such-host.invalid"])
def test_an_address_that_cannot_be_had_does_not_stop_the_watch(folder: Path, host: str) -> None:
    with watch(folder, "--second-screen", "--host", host, "--json") as running:
        line = lines_until(running, "second screen")
        assert host in line
        until(lambda: held(folder))
        write(folder / "maker-0001.jpg", jpeg(portrait()))
        from tether.session.reader import Reader

        reader = Reader(folder)
        until(lambda: [row.name for row in reader.rows_since(0)] == ["maker-0001"])
        reader.close()
        running.terminate()
    assert running.returncode == 0


@pytest.mark.parametrize("more", [("--host", "0.0.0.0"), ("--port", "9000")])
def test_where_it_is_served_goes_with_a_second_screen(folder: Path, more: tuple[str, str]) -> None:
    with watch(folder, *more) as running:
        assert running.stderr is not None
        assert "go with --second-screen" in running.stderr.read()
    assert running.returncode == 2


def test_help_does_not_load_what_serves_pages() -> None:
    program = (
        "import sys; from tether.cli import main; sys.argv = ['tether', 'watch', '--help']\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print([n for n in ('starlette', 'uvicorn', 'jinja2', 'segno') if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"
