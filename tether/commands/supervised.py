"""A watch in a process of its own under a dashboard in this one: neither can stop the other."""

from __future__ import annotations

import subprocess
import sys
import time

from tether.commands.kept import Kept
from tether.plain import plain

_AGAIN_S = 1.0
_NEWS_S = 20.0
_REFUSED = 2  # a usage error, a folder watched already, a record that cannot be opened


class SupervisedWatch(Kept):
    """Keeps `tether watch … --headless` running while the context is open.

    The watch ends when this process does, however it ends: it holds the other end of a pipe.
    Whatever it prints on standard error is its latest line, for the dashboard to show.
    """

    def __init__(self, arguments: list[str]) -> None:
        # -P: whoever starts this inside a hot folder must not import what a stranger put there.
        self._command = [sys.executable, "-P", "-m", "tether", "watch", "--supervised", *arguments]
        self._said: tuple[float, str] | None = None
        super().__init__("supervise", 10.0)

    def line(self) -> str | None:
        """The latest line the watch had to say; None once it is old news, unless it is the last."""
        if self._said is None:
            return None
        when, line = self._said
        return line if time.monotonic() < when + _NEWS_S or not self._thread.is_alive() else None

    def _say(self, line: str) -> None:
        self._said = (time.monotonic(), line)

    def _keep(self) -> None:
        while not self._closing.is_set():
            status, refused = self._once()
            if self._closing.is_set() or refused:
                return
            self._say(f"the watch ended by itself (status {status}): it is started again")
            self._closing.wait(_AGAIN_S)

    def _once(self) -> tuple[int, bool]:
        """Run one watch to its end; its exit status, and whether starting again is no use."""
        with subprocess.Popen(
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            start_new_session=True,  # the terminal's Ctrl-C is the dashboard's to handle
        ) as running:
            self._running = running
            if self._closing.is_set() and running.stdin is not None:
                running.stdin.close()
            assert running.stderr is not None
            for line in running.stderr:
                text = plain(line.decode("utf-8", "replace").rstrip("\n"))
                self._say(f"{time.strftime('%H:%M:%S')} {text.removeprefix('tether: ')}")
            status = running.wait()
        return status, status == _REFUSED
