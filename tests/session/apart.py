"""`tether watch` in a process of its own, to be stopped, killed and started at any time.

It starts within half a second: it forks from a process that has loaded everything. Judging passes
a gate in shared memory.
"""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from enum import IntEnum
from functools import cache
from multiprocessing import connection
from multiprocessing.context import ForkServerContext
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from tests.session.held import Gate
from tests.session.made import until
from tether.arrivals import settling
from tether.arrivals.folder import FolderSource
from tether.cli import app
from tether.commands import sources

_LEAVING_S = 20.0


class _Shared(IntEnum):
    """Places of the numbers in shared memory."""

    GATE, BEGUN, SWEPT, WAITING = range(4)


class Apart:
    """A headless watch on a folder, time and again; what it prints goes into one file.

    Parameters
    ----------
    folder
        What it watches.
    log
        Where standard output and standard error go.
    config
        The settings, a TOML file.
    """

    def __init__(self, folder: Path, log: Path, config: Path) -> None:
        self._folder, self._log, self._config = folder, log, config
        self._shared = _context().RawArray(ctypes.c_int, len(_Shared))
        self.gate = _gate(self._shared)
        self._process: BaseProcess | None = None

    def start(self, *, seen: bool = False) -> None:
        """Begin; what lies there now was there before. `seen`: return once it was looked at."""
        time.sleep(0.02)  # more than the coarsest clock of a file system here
        told = ["--headless", "--json", f"--config={self._config}", f"--since-ns={time.time_ns()}"]
        self._log.write_bytes(b"")
        self._shared[_Shared.SWEPT] = 0
        self._process = _context().Process(
            target=_watch,
            args=(["watch", *told, str(self._folder)], self._log, self._shared),
            daemon=True,
        )
        self._process.start()
        if seen:
            self._until_up()

    @property
    def running(self) -> bool:
        """Whether it was started, and neither stopped nor killed since."""
        return self._process is not None

    def alive(self) -> bool:
        """Whether it has not ended by itself."""
        return self._process is not None and self._process.is_alive()

    def arrived(self) -> Callable[[], bool]:
        """Ask whether all that lies there now has been handed on to be judged."""
        swept = self._shared[_Shared.SWEPT]

        def asked() -> bool:
            more, waiting = self._shared[_Shared.SWEPT], self._shared[_Shared.WAITING]
            return bool(more > swept and not waiting)

        return asked

    def end(self) -> int | None:
        """Stop it as a terminal does, and let judging go; its exit status, None if it hangs."""
        process = self._process
        assert process is not None
        self._until_up()
        if process.pid and process.is_alive():
            os.kill(process.pid, signal.SIGTERM)
        self.gate.open()
        process.join(_LEAVING_S)
        status = process.exitcode
        self.kill()
        return status

    def kill(self) -> None:
        """End it between two instructions."""
        process, self._process = self._process, None
        assert process is not None
        process.kill()
        process.join()

    def printed(self) -> str:
        """All that it has said since it was started last."""
        return self._log.read_text(errors="replace")

    def _until_up(self) -> None:
        until(lambda: "watching" in self.printed() or not self.alive())


@cache
def _context() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.session.loaded"])
    return context


def _watch(arguments: list[str], log: Path, shared: ctypes.Array[ctypes.c_int]) -> None:
    """In the process itself."""
    number = os.open(log, os.O_WRONLY | os.O_APPEND)
    for one in (sys.stdout, sys.stderr):
        one.flush()
    os.dup2(number, 1)
    os.dup2(number, 2)
    _gate(shared).put_in()
    vars(settling).update(AT_REST=0.1, AT_REST_UNMARKED=0.2)
    names = vars(sources)
    names["FolderSource"] = made = _InAHurry(names["FolderSource"])
    threading.Thread(target=_beside, args=(shared, made), daemon=True).start()
    app(arguments)


def _gate(shared: ctypes.Array[ctypes.c_int]) -> Gate:
    size = ctypes.sizeof(ctypes.c_int)
    numbers = (_Shared.GATE, _Shared.BEGUN)
    return Gate(*(ctypes.c_int.from_buffer(shared, nth * size) for nth in numbers))


class _InAHurry:
    """Makes the watch's source, one that soon finds what no event tells and takes it for whole."""

    def __init__(self, make: Callable[..., FolderSource]) -> None:
        self._make = make
        self.made: FolderSource | None = None

    def __call__(self, *told: Any, **more: Any) -> FolderSource:
        self.made = self._make(*told, **more, sweep_s=0.25, patience=0.6)
        return self.made


def _beside(shared: ctypes.Array[ctypes.c_int], sources: _InAHurry) -> None:
    """Say what has arrived, and end when whoever started this has ended."""
    parent = multiprocessing.parent_process()
    assert parent is not None
    while not connection.wait([parent.sentinel], 0.02):
        if sources.made is not None:
            # What a sweep finds waits before it counts: ask for and say both in this order.
            swept = sources.made.sweeps
            shared[_Shared.WAITING] = sources.made.waiting
            shared[_Shared.SWEPT] = swept
    os._exit(1)
