"""Keeps a metadata reader's process running, and does without where a file brings it down.

A stranger's metadata goes through a large C++ library. Whatever it does there, the frame is judged
on with what is left, and a sentence says so.
"""

from __future__ import annotations

import atexit
import json
import logging
import threading
import time
from functools import cache

from pydantic import TypeAdapter, ValidationError

from tether.frame.limits import GROWTH_BYTES
from tether.frame.reader import Died, Late, NotStarted, Reader
from tether.frame.tags import Tags
from tether.frame.wire import Request

_log = logging.getLogger(__name__)

SECONDS = 2.0
"""What one file's metadata may take."""

_AGAIN_S = 60.0


class Fence:
    """One process for all threads: a file takes it about a millisecond.

    Parameters
    ----------
    seconds
        What one file may take.
    command
        What to run instead of the metadata reader, for trying out how it can go wrong.
    """

    def __init__(self, seconds: float = SECONDS, command: list[str] | None = None) -> None:
        self._seconds = seconds
        self._command = command
        self._lock = threading.Lock()
        self._reader: Reader | None = None
        self._not_before = 0.0
        self.restarts = 0

    @property
    def pid(self) -> int | None:
        """Of the process that is ready or will be; None where none is started."""
        return self._reader.pid if self._reader else None

    def start(self) -> None:
        """Start the process if it does not run; it gets ready by itself meanwhile."""
        with self._lock:
            self._started()

    def read(self, request: Request) -> Tags:
        """Read a picture's metadata; whatever goes wrong is a sentence in `Tags.problems`."""
        with self._lock:
            return self._read(request)

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._drop()

    def _read(self, request: Request) -> Tags:
        while (reader := self._started()) is not None:
            before = reader.answered
            try:
                return self._tags(reader.ask(request))
            except NotStarted as problem:
                self._drop()
                self._wait(problem)
            except Late:
                self._anew()
                return _without(f"took longer than {self._seconds:g} s to read")
            except Died as problem:
                _log.info("the metadata reader ended (status %s)", problem)
                self._anew()
                # It may have been brought down by a file before this one.
                if not before:
                    return _without("brought its reader down")
        return _without("cannot be read: its reader does not start")

    def _tags(self, answer: bytearray) -> Tags:
        try:
            told = json.loads(answer)
            if told["spent"]:
                self._anew()
            if told["tags"] is None:
                return _without(f"asked for more than {GROWTH_BYTES // 10**6} MB")
            return _form().validate_python(told["tags"])
        except (ValueError, ValidationError, KeyError, TypeError) as problem:
            _log.info("the metadata reader answered nonsense: %s", problem)
            self._anew()
            return _without("cannot be told: its reader answered nonsense")

    def _started(self) -> Reader | None:
        if self._reader is None and time.monotonic() >= self._not_before:
            try:
                self._reader = Reader(self._seconds, self._command)
                atexit.register(self._drop)
            except OSError as problem:
                self._wait(problem)
        return self._reader

    def _wait(self, problem: Exception) -> None:
        _log.warning("the metadata reader does not start: %s", problem)
        self._not_before = time.monotonic() + _AGAIN_S

    def _anew(self) -> None:
        self._drop()
        self.restarts += 1
        self._started()

    def _drop(self) -> None:
        reader, self._reader = self._reader, None
        atexit.unregister(self._drop)
        if reader is not None:
            reader.close()


def _without(why: str) -> Tags:
    return Tags(problems=(f"its metadata {why}: judged without it",))


@cache
def _form() -> TypeAdapter[Tags]:
    return TypeAdapter(Tags)
