"""Keeping an eye on the folder itself: is it there, do its events live, and the timed sweep."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tether.arrivals.delivered import Delivered
from tether.arrivals.events import Event, Events
from tether.arrivals.presence import Presence
from tether.arrivals.source import Watching
from tether.arrivals.sweep import sweep
from tether.frame.file import FileIdentity

_log = logging.getLogger(__name__)

POLL_S = 1.0
"""Seconds from one sweep to the next where no events come."""

CHECK_S = 0.5
"""Seconds from one look for the folder itself to the next."""

HURRY_S = 0.1
"""Seconds between sweeps while events are being lost again and again."""

SHARE = 0.02
"""The largest part of a core that sweeping for new names may use."""

SHARE_WHOLE = 0.005
"""The same for sweeps that look at each delivered file too, for a change no event told."""

GONE = "the folder is gone: waiting for it to come back"
NOT_YET = "the folder is not there: waiting for it to come"
BACK = "the folder is back: watching it"
ANOTHER = "another folder is in its place now: watching that one"
LIMIT = "the system gives no more folder watches ({}): polling it every second"


@dataclass(frozen=True, slots=True)
class Swept:
    """What a sweep found that was not delivered as it is, oldest first.

    `at` is `time.monotonic()` when it began; `excused` where no events can be expected for it, and
    `first` where it is the first since the folder came; then `known` is there as it was delivered.
    `missing` was delivered and is not there.
    """

    found: tuple[tuple[str, FileIdentity], ...]
    at: float
    excused: bool
    first: bool = False
    missing: tuple[str, ...] = ()
    known: tuple[tuple[str, FileIdentity], ...] = ()


class Keeper:
    """A thread that looks after one folder.

    Parameters
    ----------
    folder
        The folder, absolute.
    delivered
        What a sweep need not mention.
    events
        Makes the events to start whenever the folder comes.
    sweep_s
        Seconds from one sweep to the next; longer where a sweep costs much.
    polling
        Whether to do without events from the beginning.
    tell
        Receives events, sweeps and how the folder is doing.
    """

    def __init__(
        self,
        folder: Path,
        delivered: Delivered,
        events: Callable[[], Events],
        sweep_s: float,
        polling: bool,
        tell: Callable[[Event | Swept | Watching], None],
    ) -> None:
        self._folder = folder
        self._delivered = delivered
        self._new_events = events
        self._sweep_s = sweep_s
        self._tell = tell
        self.polling = polling
        self._presence = Presence(str(folder))
        self._here: tuple[int, int] | None = None
        self._away: bool | None = None
        self._events: Events | None = None
        self._swept = self._next_sweep = self._next_whole = 0.0
        self._excused = self._first = True
        self._hurry = False
        self._wake = threading.Event()
        self._ended = False
        self._thread = threading.Thread(target=self._run, name="arrivals keeper", daemon=True)

    def start(self) -> None:
        """Begin, and return at once."""
        self._thread.start()

    def stop(self) -> None:
        """End; waits for a sweep that is under way, unless it hangs."""
        self._ended = True
        self._wake.set()
        if self._thread.is_alive() and threading.current_thread() is not self._thread:
            self._thread.join(2.0)

    def sweep_now(self) -> None:
        """Sweep at once, since events were lost."""
        self._hurry = True
        self._wake.set()

    def _run(self) -> None:
        while not self._ended:
            nap = CHECK_S
            try:
                self._step()
                nap = self._nap()
            except Exception:
                _log.exception("looking after %r failed", str(self._folder))
            self._wake.wait(nap)
            self._wake.clear()
        self._stop_events()

    def _nap(self) -> float:
        if self._away:
            return CHECK_S
        if self._hurry:
            return HURRY_S
        return min(CHECK_S, max(0.0, self._next_sweep - time.monotonic()))

    def _step(self) -> None:
        here = self._presence.identity()
        if here is None:
            if not self._away:
                self._tell(Watching(False, NOT_YET if self._away is None else GONE))
            self._away, self._here = True, None
            self._stop_events()
            return
        if here != self._here:
            self._enter(here)
        elif self._events is not None and not self._events.alive():
            self._stop_events()
            self._start_events()
        now = time.monotonic()
        if now >= self._next_sweep or (self._hurry and now >= self._swept + HURRY_S):
            self._sweep()

    def _enter(self, here: tuple[int, int]) -> None:
        self._stop_events()
        if self._away is not None:
            self._delivered.mounted_anew()
            self._tell(Watching(True, BACK if self._away else ANOTHER))
        self._away, self._here, self._first = False, here, True
        self._start_events()

    def _start_events(self) -> None:
        self._excused = True
        self._next_sweep = 0.0
        if self.polling:
            return
        events = self._new_events()
        try:
            events.start(self._folder, self._tell)
        except OSError as error:
            if self._presence.identity() != self._here:
                self._here = None  # It went away meanwhile; the next step says so.
                return
            self.polling = True
            self._tell(Watching(True, LIMIT.format(error.strerror or error)))
            return
        self._events = events

    def _stop_events(self) -> None:
        events, self._events = self._events, None
        if events is not None:
            events.stop()

    def _sweep(self) -> None:
        excused, self._excused, self._hurry = self._excused or self._hurry, False, False
        at, used = time.monotonic(), time.thread_time()
        whole = excused or at >= self._next_whole
        before = self._delivered.paths() if whole else []
        there = list(sweep(str(self._folder), () if whole else self._delivered))
        fresh = [(path, look) for path, look in there if not self._delivered.knows(path, look)]
        fresh.sort(key=lambda found: (found[1].mtime_ns, found[0]))
        found = {path for path, _ in there}
        # While the folder goes away, what it held is not gone for good.
        missing = [path for path in before if path not in found]
        if missing and self._presence.identity() != self._here:
            missing = []
        first, self._first = self._first, False
        known = [one for one in there if self._delivered.knows(*one)] if first else []
        used = time.thread_time() - used
        self._tell(Swept(tuple(fresh), at, excused, first, tuple(missing), tuple(known)))
        pause = min(self._sweep_s, POLL_S) if self.polling else self._sweep_s
        self._swept = time.monotonic()
        if whole:
            self._next_sweep = self._swept + pause
            self._next_whole = self._swept + used / SHARE_WHOLE
        else:
            self._next_sweep = self._swept + max(pause, used / SHARE)
