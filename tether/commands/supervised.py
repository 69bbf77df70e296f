"""A watch in a process of its own under a dashboard in this one: neither can stop the other."""

from __future__ import annotations

import sys
import time

from tether.commands.kept import Kept

_NEWS_S = 20.0
_REFUSED = 2  # a usage error, a folder watched already, a record that cannot be opened


class SupervisedWatch(Kept):
    """Keeps `tether watch … --headless` running while the context is open.

    The watch ends when this process does, however it ends: it holds the other end of a pipe.
    Whatever it prints on standard error is its latest line, for the dashboard to show.

    Parameters
    ----------
    arguments
        Of the watch.
    leaving_s
        How long it may take to end by itself, s, before it is killed.
    """

    def __init__(self, arguments: list[str], leaving_s: float = 10.0) -> None:
        # -P: whoever starts this inside a hot folder must not import what a stranger put there.
        command = [sys.executable, "-P", "-m", "tether", "watch", "--supervised", *arguments]
        self._said: tuple[float, str] | None = None
        self._has_run = False
        super().__init__("supervise", "the watch", command, leaving_s)

    def line(self) -> str | None:
        """The latest line the watch had to say; None once it is old news, unless it is the last."""
        if self._said is None:
            return None
        until, line = self._said
        return line if time.monotonic() < until or not self._thread.is_alive() else None

    def _say(self, line: str, seconds: float = _NEWS_S) -> None:
        self._said = (time.monotonic() + seconds, line)

    def _heard(self, line: str) -> str:
        line = line.removeprefix("tether: ")
        self._say(f"{time.strftime('%H:%M:%S')} {line}")
        return line or self._words

    def _trouble(self, why: str, pause_s: float) -> None:
        self._say(why, pause_s + _NEWS_S)

    def _is_final(self, status: int) -> bool:
        """Refused at first, somebody has to do something; later on what is in the way may go."""
        refused = status == _REFUSED and not self._has_run
        self._has_run = True
        return refused
