"""What a process may use that reads a stranger's bytes, as far as the system can hold it to that.

Linux holds it to memory and time. macOS holds it to time alone: there the memory is looked at after
each file. Where there are no timers of this kind, whoever waits for the process has to end it.
"""

from __future__ import annotations

import signal
from contextlib import suppress
from pathlib import Path

GROWTH_BYTES = 200_000_000
"""How much a file may ask for on top of the process as it starts and the file itself."""

_SPENT = 0.5  # of the growth: what was not given back by then is lost


class Limits:
    """Limits of this process, counted from what it uses when they are set."""

    def __init__(self, growth: int = GROWTH_BYTES) -> None:
        self._growth = growth
        self._first = _in_use()
        with suppress(ImportError, ValueError, OSError):
            import resource

            # A crash leaves no file in whatever folder we were started.
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    def begin(self, seconds: float, more: int) -> None:
        """Allow `more` bytes on top of the growth, and so many seconds: then the system ends us."""
        if hasattr(signal, "setitimer"):
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.setitimer(signal.ITIMER_REAL, seconds)
        self.allow(more)

    def allow(self, more: int) -> None:
        """Allow `more` bytes on top of the growth and of what is in use by now."""
        with suppress(ImportError, ValueError, OSError):
            import resource

            size = _address_space()
            if size is not None:
                hard = resource.getrlimit(resource.RLIMIT_AS)[1]
                resource.setrlimit(resource.RLIMIT_AS, (size + self._growth + more, hard))

    def end(self) -> None:
        """Stop the clock."""
        if hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_REAL, 0)

    @property
    def spent(self) -> bool:
        """Whether so much memory is gone that a new process should take over."""
        return _in_use() - self._first > _SPENT * self._growth


def _address_space() -> int | None:
    return _statm(0)


def _in_use() -> int:
    """Memory in use, bytes; the most that ever was where the system tells no more."""
    resident = _statm(1)
    if resident is not None:
        return resident
    with suppress(ImportError):
        import resource

        # Bytes on macOS, the only system left here that has this module.
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return 0


def _statm(field: int) -> int | None:
    try:
        import resource

        told = Path("/proc/self/statm").read_text(encoding="ascii").split()
        return int(told[field]) * resource.getpagesize()
    except (ImportError, OSError, ValueError, IndexError):
        return None
