"""Readers' processes for all threads: one as a rule, another while a file keeps one for itself."""

from __future__ import annotations

import atexit
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from tether.frame.guarded import Closed, Guarded

PATIENCE_S = 0.2
"""How long a thread waits for a process before it starts another: most files take less."""

IDLE_S = 60.0
"""After which a process is ended that nobody needed meanwhile, but for one."""


class Pool:
    """As many processes as threads need at once.

    A file that hangs keeps one of them until it is late, and delays no other file.

    Parameters
    ----------
    module, seconds, command
        As in `Guarded`.
    idle_s
        After which further processes are ended.
    """

    def __init__(
        self,
        module: str,
        seconds: float,
        command: list[str] | None = None,
        idle_s: float = IDLE_S,
    ) -> None:
        self._module, self._command, self._idle_s = module, command, idle_s
        self.seconds = seconds
        self._changed = threading.Condition()
        self._all: list[Guarded] = []
        self._idle: list[tuple[float, Guarded]] = []  # the one used last at the end
        self._trimming: threading.Timer | None = None
        self._closed = False
        self._restarts = 0

    @property
    def pid(self) -> int | None:
        """Of the first process; None where none is started."""
        return next(iter(self.pids), None)

    @property
    def pids(self) -> list[int]:
        """Of the processes that are ready or will be."""
        with self._changed:
            return [one.pid for one in self._all if one.pid is not None]

    @property
    def restarts(self) -> int:
        """How often a process had to be started anew."""
        with self._changed:
            return self._restarts + sum(one.restarts for one in self._all)

    def open(self) -> None:
        """Let files be read again after `close`."""
        with self._changed:
            self._closed = False

    def start(self) -> None:
        """Open it, and start the first process if there is none."""
        self.open()
        with self.lend() as one:
            one.start()

    def close(self) -> None:
        """End all processes; whoever waits for an answer, or asks from now on, gets `Closed`.

        No answer is waited for: a file that hangs does not delay the program's end.
        """
        with self._changed:
            self._closed = True
            idle = [one for _, one in self._idle]
            busy = [one for one in self._all if one not in idle]
            self._restarts += sum(one.restarts for one in self._all)
            self._all, self._idle = [], []
            self._changed.notify_all()
        for one in busy:
            one.kill()  # whoever has it clears away what is left
        for one in idle:
            one.close()
        atexit.unregister(self.close)

    @contextmanager
    def lend(self) -> Iterator[Guarded]:
        """A process for this thread alone while the context is open.

        Raises
        ------
        Closed
            The program ends.
        """
        one = self._taken()
        try:
            yield one
        finally:
            self._give_back(one)

    def _taken(self) -> Guarded:
        deadline = time.monotonic() + PATIENCE_S
        with self._changed:
            while self._all and not self._idle and (left := deadline - time.monotonic()) > 0:
                self._changed.wait(left)
            if self._closed:
                raise Closed
            if self._idle:
                return self._idle.pop()[1]
            one = Guarded(self._module, self.seconds, self._command)
            self._all.append(one)
            atexit.unregister(self.close)
            atexit.register(self.close)
            return one

    def _give_back(self, one: Guarded) -> None:
        with self._changed:
            if one in self._all:
                self._idle.append((time.monotonic(), one))
                self._changed.notify()
                self._trim_later()
                return
        one.close()  # the program ends

    def _trim_later(self) -> None:
        if len(self._all) > 1 and self._trimming is None:
            self._trimming = threading.Timer(self._idle_s, self._trim)
            self._trimming.daemon = True
            self._trimming.start()

    def _trim(self) -> None:
        before, ended = time.monotonic() - self._idle_s, []
        with self._changed:
            self._trimming = None
            while len(self._all) > 1 and self._idle and self._idle[0][0] <= before:
                one = self._idle.pop(0)[1]
                self._all.remove(one)
                self._restarts += one.restarts
                ended.append(one)
            self._trim_later()
        for one in ended:
            one.close()
