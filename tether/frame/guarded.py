"""Keeps a reader's process running, and starts another where a file brings it down."""

from __future__ import annotations

import atexit
import logging
import threading
import time
from collections.abc import Callable
from io import RawIOBase

from tether.frame.reader import Answer, Died, Late, NotStarted, Reader

_log = logging.getLogger(__name__)

_AGAIN_S = 60.0


class Guarded:
    """One process for all threads. Whoever asks holds `lock` meanwhile.

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
        self.lock = threading.Lock()
        self.restarts = 0

    @property
    def pid(self) -> int | None:
        """Of the process that is ready or will be; None where none is started."""
        return self._reader.pid if self._reader else None

    def start(self) -> None:
        """Start the process if it does not run; it gets ready by itself meanwhile."""
        with self.lock:
            self._started()

    def close(self) -> None:
        """End the process."""
        with self.lock:
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
        if self._reader is None and time.monotonic() >= self._not_before:
            try:
                self._reader = Reader(self._module, self._seconds, self._command)
                atexit.register(self._drop)
            except OSError as problem:
                self._wait(problem)
        return self._reader

    def _wait(self, problem: Exception) -> None:
        _log.warning("the process of %s does not start: %s", self._module, problem)
        self._not_before = time.monotonic() + _AGAIN_S

    def _drop(self) -> None:
        reader, self._reader = self._reader, None
        atexit.unregister(self._drop)
        if reader is not None:
            reader.close()
