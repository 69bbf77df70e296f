"""A process of ours that is kept running, and ends when this one does, however it ends."""

from __future__ import annotations

import subprocess
import threading
from abc import ABC, abstractmethod
from typing import Self


class Kept(ABC):
    """Runs `_keep` in a thread while the context is open.

    The process holds the other end of a pipe, its standard input, and ends when that closes.

    Parameters
    ----------
    name
        Of the thread.
    leaving_s
        How long the process may take to end by itself, s.
    """

    def __init__(self, name: str, leaving_s: float) -> None:
        self._leaving_s = leaving_s
        self._running: subprocess.Popen[bytes] | None = None
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._keep, name=name, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._closing.set()
        running = self._running
        if running is not None and running.stdin is not None:
            running.stdin.close()
        self._thread.join(timeout=self._leaving_s)
        if running is not None and running.poll() is None:
            running.kill()

    @abstractmethod
    def _keep(self) -> None:
        """Start it, set `_running`, and start it anew until `_closing` is set."""
