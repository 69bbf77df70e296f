"""A process of ours that is kept running, and ends when this one does, however it ends."""

from __future__ import annotations

import contextlib
import logging
import signal
import subprocess
import threading
import time
from abc import ABC, abstractmethod
from typing import IO, Self

from tether.plain import plain

_log = logging.getLogger(__name__)

PAUSES_S = (1.0, 2.0, 4.0, 8.0, 16.0, 30.0)
"""How long is waited before each further start, the last for all that follow."""

WELL_S = 60.0
"""After so long a run what went before is forgotten."""

_PATIENCE = 3  # ends in a row, from which on it is said why
_LAST_WORDS_S = 1.0
_KILLED_S = 2.0


class Kept(ABC):
    """Keeps one process running in a thread while the context is open; never two of them.

    The process holds the other end of a pipe, its standard input, and ends when that closes. One
    that ends by itself, or cannot be started, is started again: at once at first, and more and more
    slowly while that goes on.

    Parameters
    ----------
    name
        Of the thread.
    what
        What ends, in words.
    command
        What to run.
    leaving_s
        How long the process may take to end by itself, s, before it is killed.
    given
        What it is given to read, first.
    listening
        Which of its outputs is listened to, a line at a time: `stderr` alone, or `both`.
    """

    def __init__(
        self,
        name: str,
        what: str,
        command: list[str],
        leaving_s: float,
        given: bytes = b"",
        listening: str = "stderr",
    ) -> None:
        self._what, self._command, self._given = what, command, given
        self._leaving_s, self._both = leaving_s, listening == "both"
        self._running: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()  # whoever holds it knows which process runs now
        self._closing = threading.Event()
        self._words = ""
        self._thread = threading.Thread(target=self._keep, name=name, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._closing.set()  # from here on none is started
        with self._lock:
            if self._running is not None:
                _close(self._running)
        self._thread.join(timeout=self._leaving_s)
        with self._lock:
            if self._running is not None:
                self._running.kill()
        self._thread.join(timeout=_KILLED_S)

    @property
    def pid(self) -> int | None:
        """Of the process that runs now, if one does."""
        with self._lock:
            return self._running.pid if self._running is not None else None

    @abstractmethod
    def _heard(self, line: str) -> str:
        """Take a line that it prints; return what of it would be its last words."""

    @abstractmethod
    def _trouble(self, why: str, pause_s: float) -> None:
        """Tell that it is not running, and will not be for so long."""

    def _is_final(self, status: int) -> bool:
        """Whether starting it again is no use after this exit status."""
        return False

    def _keep(self) -> None:
        ends = 0
        while not self._closing.is_set():
            begun = time.monotonic()
            try:
                status = self._once()
            except (OSError, ValueError, subprocess.SubprocessError) as problem:
                how = f"cannot be started ({getattr(problem, 'strerror', None) or problem})"
            else:
                if status is None or self._closing.is_set() or self._is_final(status):
                    return
                ends = 0 if time.monotonic() - begun >= WELL_S else ends
                how = f"ended by itself ({_told(status, self._words)})"
            ends += 1
            pause = PAUSES_S[min(ends, len(PAUSES_S)) - 1]
            again = "it is started again"
            if ends >= _PATIENCE:
                again = f"{ends} times in a row now; {again} in {pause:g} s"
            try:
                self._trouble(f"{self._what} {how}: {again}", pause)
            except Exception:  # as in `_listen`
                _log.exception("%s", self._what)
            self._closing.wait(pause)

    def _once(self) -> int | None:
        """Run it to its end and return its exit status; None where none is to be started."""
        self._words = ""
        with self._lock:
            if self._closing.is_set():
                return None
            running = self._running = subprocess.Popen(
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE if self._both else subprocess.DEVNULL,
                stderr=subprocess.STDOUT if self._both else subprocess.PIPE,
                start_new_session=True,  # the terminal's Ctrl-C is for this process to handle
            )
        heard = running.stdout if self._both else running.stderr
        assert running.stdin is not None and heard is not None
        listener = threading.Thread(target=self._listen, args=(heard,), daemon=True)
        listener.start()
        if self._given:
            with contextlib.suppress(OSError, ValueError):  # it is gone already, or to go
                running.stdin.write(self._given)
                running.stdin.flush()
        status = running.wait()
        # What it started may hold its output open: that is nothing to wait for.
        listener.join(_LAST_WORDS_S)
        with self._lock:
            self._running = None
            _close(running)
        return status

    def _listen(self, pipe: IO[bytes]) -> None:
        with pipe:
            for line in pipe:
                text = plain(line.decode("utf-8", "replace").rstrip("\n"))
                try:
                    self._words = self._heard(text)
                except Exception:  # whoever is told must not end what keeps it running
                    _log.exception("%s", self._what)


def _close(running: subprocess.Popen[bytes]) -> None:
    assert running.stdin is not None
    with contextlib.suppress(OSError):  # what it was given, and did not read
        running.stdin.close()


def _told(status: int, words: str) -> str:
    how = f"status {status}"
    if status < 0:
        with contextlib.suppress(ValueError):
            how = signal.Signals(-status).name
    return f"{how}: {words}" if words else how
