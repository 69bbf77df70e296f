"""Keeps a reader's process running, and starts another where a file brings it down."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from io import RawIOBase

from tether.frame.reader import Answer, Died, Late, NotStarted, Reader

_log = logging.getLogger(__name__)

_AGAIN_S = 60.0


class Closed(Exception):
    """The program ends: no file is read any more, and of one in hand nothing is known."""


class Guarded:
    """One process, for one thread at a time; any may end it.

    Parameters
    ----------
    module
        Whose function `serve` the process runs.
    seconds
        What one file may take.
    command
        What to run instead, for trying out how it can go wrong.
    """

    def __init__(self, module: str, seconds: float, command: list[str] | None = None) -> None:
        self._module = module
        self._seconds = seconds
        self._command = command
        self._reader: Reader | None = None
        self._not_before = 0.0
        self._starting = threading.Lock()
        self._closed = False
        self.restarts = 0

    @property
    def pid(self) -> int | None:
        """Of the process that is ready or will be; None where none is started."""
        return reader.pid if (reader := self._reader) else None

    def start(self) -> None:
        """Start the process if it does not run; it gets ready by itself meanwhile."""
        self._started()

    def kill(self) -> None:
        """End the process for good, from any thread; whoever waits for its answer gets `Closed`."""
        with self._starting:
            self._closed = True
            if self._reader is not None:
                self._reader.kill()

    def close(self) -> None:
        """End the process for good, and clear away what is left of it."""
        self.kill()
        self._drop()

    def ask(
        self, send: Callable[[RawIOBase], None], receive: Callable[[RawIOBase], Answer]
    ) -> Answer:
        """Send a request and return its answer.

        Raises
        ------
        Late, Died
            This file brought the process down; another is there already.
        NotStarted
            There is no process.
        Closed
            It was closed.
        """
        while (reader := self._started()) is not None:
            before = reader.answered
            try:
                return reader.ask(send, receive)
            except NotStarted as problem:
                self._drop()
                self._wait(problem)
            except Died as problem:
                _log.info("the process of %s ended (status %s)", self._module, problem)
                self.anew()
                # It may have been brought down by a file before this one.
                if not before:
                    raise
            except Late:
                self.anew()
                raise
            except BaseException:
                self._drop()  # whatever it answers now belongs to nobody
                raise
        raise NotStarted

    def anew(self) -> None:
        """End the process and start another."""
        self._drop()
        self.restarts += 1
        self._started()

    def _started(self) -> Reader | None:
        with self._starting:
            if self._closed:
                raise Closed
            if self._reader is None and time.monotonic() >= self._not_before:
                try:
                    self._reader = Reader(self._module, self._seconds, self._command)
                except OSError as problem:
                    self._wait(problem)
            return self._reader

    def _wait(self, problem: Exception) -> None:
        if not self._closed:
            _log.warning("the process of %s does not start: %s", self._module, problem)
        self._not_before = time.monotonic() + _AGAIN_S

    def _drop(self) -> None:
        reader, self._reader = self._reader, None
        if reader is not None:
            reader.close()
