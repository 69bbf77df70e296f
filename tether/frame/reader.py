"""One process that reads files, seen from outside: started, asked, and ended when it is late."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from io import RawIOBase
from typing import IO, TypeVar, cast

from tether.frame import wire
from tether.frame.deadlines import DEADLINES
from tether.plain import plain

_log = logging.getLogger(__name__)

_START_S = 20.0
_CODE = "import sys; sys.path[:] = {path!r}; from {module} import serve; serve({seconds!r})"
Answer = TypeVar("Answer")


class Late(Exception):
    """It took longer than allowed, and was ended."""


class Died(Exception):
    """It ended by itself."""


class NotStarted(Exception):
    """It did not get ready."""


class Reader:
    """A process with its pipes. One thread at a time.

    Parameters
    ----------
    module
        Whose function `serve` it runs, with the seconds.
    seconds
        How long it may take over one file.
    command
        What to run instead, for trying out how it can go wrong.
    """

    def __init__(self, module: str, seconds: float, command: list[str] | None = None) -> None:
        code = _CODE.format(path=sys.path, module=module, seconds=seconds)
        self._seconds = seconds
        self._ready = False
        self.answered = 0
        self._running = subprocess.Popen(
            command or [sys.executable, "-I", "-c", code],
            bufsize=0,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,  # the terminal's Ctrl-C is not for it
            # It multiplies no matrices, and threads for that would only take memory.
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )
        assert self._running.stderr is not None
        threading.Thread(
            target=_to_the_log, args=(self._running.stderr,), name="reader log", daemon=True
        ).start()

    @property
    def pid(self) -> int:
        """Of the process."""
        return self._running.pid

    def ask(
        self, send: Callable[[RawIOBase], None], receive: Callable[[RawIOBase], Answer]
    ) -> Answer:
        """Send a request and return what is received as its answer.

        Raises
        ------
        Late, Died, NotStarted
            There is none, and the process is gone.
        """
        if not self._ready:
            try:
                self._within(_START_S, lambda: wire.receive_answer(self._answers))
            except (Late, Died) as problem:
                raise NotStarted(str(problem) or "late") from problem
            self._ready = True

        def exchange() -> Answer:
            send(cast("RawIOBase", self._running.stdin))
            return receive(self._answers)

        answer = self._within(self._seconds, exchange)
        self.answered += 1
        return answer

    def kill(self) -> None:
        """End it, from any thread; whoever waits for its answer sees it die."""
        self._running.kill()

    def close(self) -> None:
        """End it."""
        self._running.kill()
        for pipe in (self._running.stdin, self._running.stdout):
            if pipe is not None:
                pipe.close()
        self._running.wait()

    @property
    def _answers(self) -> RawIOBase:
        return cast("RawIOBase", self._running.stdout)

    def _within(self, seconds: float, step: Callable[[], Answer]) -> Answer:
        late = threading.Event()

        def end() -> None:
            late.set()
            self._running.kill()

        # From another thread rather than by a wait on the pipe: it ends a writer that is stuck as
        # well as a reader, on every system.
        try:
            with DEADLINES.within(seconds, end):
                return step()
        except (OSError, EOFError) as problem:
            self.close()
            raise Late if late.is_set() else Died(str(self._running.returncode)) from problem


def _to_the_log(pipe: IO[bytes]) -> None:
    with pipe:
        for line in pipe:
            if _log.isEnabledFor(logging.INFO):  # a bad file makes it complain by the thousand
                _log.info("%s", plain(line.decode("utf-8", "replace").rstrip()))
