"""One watch a folder: a lock that the system lets go when its holder dies, however it dies.

The lock's file says who holds it, so that one who finds it held can tell a watch that runs from one
that is on its way out: it says so itself, or the dashboard that it ran for is dead.
"""

from __future__ import annotations

import json
import logging
import os
import socket
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from tether.plain import plain
from tether.session import schema

try:
    import fcntl
except ImportError:  # Windows has no flock: there nobody is kept from a second watch
    fcntl = None  # type: ignore[assignment]

_log = logging.getLogger(__name__)

LEAVING_S = 6.0
"""How long a watch that is on its way out is waited for."""

_INSTANT_S = 1.0
_TOLD_AFTER_S = 0.5
_LOOK_S = 0.02


class AlreadyWatched(Exception):
    """Another watch holds the folder."""


@dataclass(frozen=True, slots=True)
class _Holder:
    """Who holds a lock: its process on `host`, the one that it runs for, and whether it leaves."""

    pid: int
    owner: int | None
    host: str
    leaving: bool = False


class Lock:
    """Held for as long as a watch runs on `folder`; `taken` unless nothing can be written there.

    Parameters
    ----------
    folder
        What is watched.
    owner
        The process that the watch runs for and ends with; None where it runs by itself.
    """

    def __init__(self, folder: Path, owner: int | None = None) -> None:
        self.folder = folder
        self.taken = False
        self._owner = owner
        self._file: IO[bytes] | None = None

    def __enter__(self) -> Self:
        path = self.folder / schema.LOCK_NAME
        try:
            self._file = path.open("ab")
        except OSError:
            return self  # nothing can be written here: the record will say so
        waiting = _Waiting(self.folder, _log.warning)
        while not _taken(self._file, exclusive=True):
            # A screen that asks whether the lock is held takes it for an instant: try for longer.
            if not waiting.goes_on(_INSTANT_S):
                self._file.close()
                raise AlreadyWatched(f"{self.folder} is watched already: stop that watch first")
        self.taken = True
        _write(self._file, _Holder(os.getpid(), self._owner, socket.gethostname()))
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._file is not None:
            self._file.close()


def leave(folder: Path) -> None:
    """Have a lock that this process holds say that it will be let go of soon."""
    holder = _holder(folder)
    if holder is not None and (holder.pid, holder.host) == (os.getpid(), socket.gethostname()):
        with suppress(OSError), (folder / schema.LOCK_NAME).open("ab") as file:
            _write(file, _Holder(holder.pid, holder.owner, holder.host, leaving=True))


def free(folder: Path, tell: Callable[[str], None]) -> bool:
    """Whether no watch holds the folder's lock, once one on its way out has had time to leave.

    `tell` is told of it in words where that takes longer than one would not notice.
    """
    waiting = _Waiting(folder, tell)
    while held(folder):
        if not waiting.goes_on():
            return False
    return True


def held(folder: Path) -> bool:
    """Whether some watch holds the folder's lock now."""
    try:
        with (folder / schema.LOCK_NAME).open("rb") as file:
            return not _taken(file, exclusive=False)
    except OSError:
        return False


def _taken(file: IO[bytes], *, exclusive: bool) -> bool:
    if fcntl is None:
        return True
    try:
        fcntl.flock(file, (fcntl.LOCK_EX if exclusive else fcntl.LOCK_SH) | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True  # a network share without locks: go on unlocked
    return True


class _Waiting:
    """How long somebody waits for a lock."""

    def __init__(self, folder: Path, tell: Callable[[str], None]) -> None:
        self._folder, self._tell = folder, tell
        self._begun = time.monotonic()
        self._told = False

    def goes_on(self, at_least_s: float = 0.0) -> bool:
        """Wait a little, unless it is no use any more: the holder stays, or takes too long."""
        leaves = _is_leaving(self._folder)
        waited = time.monotonic() - self._begun
        if waited >= (LEAVING_S if leaves else at_least_s):
            return False
        if leaves and waited >= _TOLD_AFTER_S and not self._told:
            self._told = True
            self._tell(f"{plain(str(self._folder))}: waiting for the watch of before to end")
        time.sleep(_LOOK_S)
        return True


def _is_leaving(folder: Path) -> bool:
    holder = _holder(folder)
    if holder is None or holder.host != socket.gethostname():
        return False
    return holder.leaving or (holder.owner is not None and not _lives(holder.owner))


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _holder(folder: Path) -> _Holder | None:
    try:
        told = json.loads((folder / schema.LOCK_NAME).read_bytes())
        return _Holder(int(told["pid"]), told["owner"], str(told["host"]), bool(told["leaving"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None  # one of an older program, or of somebody else's making


def _write(file: IO[bytes], holder: _Holder) -> None:
    with suppress(OSError):  # a full disk: the lock holds without it
        file.truncate(0)
        file.write(json.dumps(asdict(holder)).encode())
        file.flush()
