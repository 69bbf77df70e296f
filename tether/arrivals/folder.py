"""Frames that come into a folder, by whatever hand puts them there."""

from __future__ import annotations

import logging
import os
import queue
import threading
import time
from collections.abc import Callable
from pathlib import Path, PurePath

from tether.arrivals.announced import Unannounced
from tether.arrivals.delivered import RENUMBERED, Delivered
from tether.arrivals.events import Event, Events, EventsLost, FileGone, FileSeen, FolderSeen
from tether.arrivals.keeper import Keeper, Swept
from tether.arrivals.native import NativeEvents
from tether.arrivals.settling import PATIENCE, Settling
from tether.arrivals.source import Arrival, Known, Vanished, Watching
from tether.arrivals.sweep import sweep
from tether.arrivals.whole import look_at
from tether.frame.kinds import is_passed_over, is_picture_path

_log = logging.getLogger(__name__)

SILENT = "no events come from this folder (a network share?): polling it every second"


class FolderSource:
    """Delivers every picture file of a folder and its subfolders once it is whole.

    A file is delivered once for each path, size and time of change it rests at, those there at the
    start too. Nothing is ever written, opened for writing, or locked.

    Parameters
    ----------
    folder
        The folder; it need not be there yet.
    polling
        Sweep every second and expect no events, as on a network share.
    sweep_s
        Seconds between the sweeps that find what events did not tell.
    patience
        Seconds without a change after which a file is delivered although its end is missing.
    events
        Makes what tells of the folder while it happens.
    """

    def __init__(
        self,
        folder: Path | str,
        polling: bool = False,
        sweep_s: float = 2.0,
        patience: float = PATIENCE,
        events: Callable[[], Events] = NativeEvents,
    ) -> None:
        self.folder = Path(os.path.abspath(folder))  # noqa: PTH100  a link stays a link
        self._prefix = os.path.join(self.folder, "")  # noqa: PTH118
        self._delivered = Delivered()
        self._settling = Settling(self._delivered, patience)
        self._settling.closes_come = not polling
        self._unannounced = Unannounced()
        self._told: queue.SimpleQueue[Event | Swept | Watching | None] = queue.SimpleQueue()
        self._keeper = Keeper(self.folder, self._delivered, events, sweep_s, polling, self._tell)
        self._deliver: Callable[[Arrival], None] | None = None
        self._gate = threading.RLock()
        self.sweeps = 0
        """How many sweeps were heard; after the first, all that was there is at least waiting."""
        self._thread = threading.Thread(target=self._run, name="arrivals folder", daemon=True)

    @property
    def waiting(self) -> int:
        """How many files are known and not delivered yet."""
        return len(self._settling)

    def start(self, deliver: Callable[[Arrival], None], known: Known | None = None) -> None:
        """Begin; what is there already is delivered too, unless `known`. Returns at once."""
        self._deliver = deliver
        for path, file in (known or {}).items():
            if (name := str(path)).startswith(self._prefix):
                self._delivered.note(name, file)
        self._delivered.mounted_anew()
        self._thread.start()
        self._keeper.start()

    def stop(self) -> None:
        """End; no call of `deliver` happens after this returns. `deliver` itself may call it."""
        with self._gate:
            self._deliver = None
        self._keeper.stop()
        self._told.put(None)
        if self._thread.is_alive() and threading.current_thread() is not self._thread:
            self._thread.join(2.0)

    def _tell(self, told: Event | Swept | Watching) -> None:
        """Hand over from whatever thread; what is not a picture's goes no further."""
        if isinstance(told, FileSeen | FileGone | FolderSeen):
            if not told.path.startswith(self._prefix):
                return
            relative = told.path[len(self._prefix) :]
            if isinstance(told, FileSeen | FileGone) and not is_picture_path(relative):
                return
            if isinstance(told, FolderSeen) and any(map(is_passed_over, PurePath(relative).parts)):
                return
        self._told.put(told)

    def _run(self) -> None:
        going = True
        while going:
            try:
                going = self._step()
            except Exception:
                _log.exception("a step of watching %r failed", str(self.folder))

    def _step(self) -> bool:
        """Hear what is told, or else look at the file that is due; False at the end."""
        due = self._settling.next_due()
        pause = None if due is None else max(0.0, due - time.monotonic())
        try:
            told = self._told.get(timeout=pause)
        except queue.Empty:
            self._hand_on(self._settling.consider_next())
            return True
        if told is not None:
            self._hear(told)
        return told is not None

    def _hear(self, told: Event | Swept | Watching) -> None:
        match told:
            case FileSeen(path, closed):
                self._unannounced.told(path)
                self._hand_on(self._settling.consider(path, closed=closed))
            case FileGone(path):
                self._gone(path)
            case FolderSeen(path) if not os.path.islink(path):  # noqa: PTH114
                for found, _ in sweep(path):
                    self._unannounced.told(found)
                    self._settling.expect(found)
            case EventsLost():
                self._keeper.sweep_now()
            case Swept():
                self._hear_sweep(told)
            case Watching():
                self._settling.closes_come = not self._keeper.polling
                self._unannounced.clear()
                self._hand_on(told)

    def _gone(self, path: str) -> None:
        if look_at(path) is None:
            self._settling.drop(path)
            if self._delivered.forget(path):
                self._hand_on(Vanished(Path(path)))

    def _hear_sweep(self, swept: Swept) -> None:
        for path in swept.missing:
            self._gone(path)
        others = [one for one in swept.known if self._delivered.numbered_otherwise(*one)]
        for path, look in swept.known:
            self._delivered.note(path, look)
        # Numbered anew by another mount, or else another file in its place, as like as can be.
        if len(others) < RENUMBERED:
            for path, _ in others:
                self._delivered.forget(path)
                self._settling.expect(path, swept=swept.first)
        if sum(self._delivered.another_inode(*one) for one in swept.found) >= RENUMBERED:
            self._delivered.renumbering()
        for path, look in swept.found:
            if path in self._settling or self._delivered.knows(path, look):
                continue
            # A file delivered before, or changed through a link, may change without an event.
            if not (swept.excused or path in self._delivered or look.inode == 0):
                self._unannounced.found(path, swept.at)
            self._settling.expect(path, swept=swept.first)
        self.sweeps += 1
        if not self._keeper.polling and self._unannounced.no_events_come(time.monotonic()):
            self._keeper.polling = True
            self._settling.closes_come = False
            self._hand_on(Watching(True, SILENT))

    def _hand_on(self, arrival: Arrival | None) -> None:
        with self._gate:
            if arrival is not None and self._deliver is not None:
                self._deliver(arrival)
