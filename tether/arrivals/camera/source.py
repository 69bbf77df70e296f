"""Frames that a tethered camera takes, fetched into the session's folder as they are taken."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from pathlib import Path

from tether.arrivals.camera.connecting import AGAIN_S, connect
from tether.arrivals.camera.dials import Dials
from tether.arrivals.camera.folder import SessionFolder
from tether.arrivals.camera.ledger import Ledger, LedgerError
from tether.arrivals.camera.messages import Refused
from tether.arrivals.camera.process import CameraProcess, Lost
from tether.arrivals.camera.taking import Anew, Taking
from tether.arrivals.source import Adjusted, Arrival, Camera, Known
from tether.plain import plain

_log = logging.getLogger(__name__)

_SOON_S = 0.2
_STATE_S = 0.25


class CameraSource:
    """Keeps a camera connected and its frames coming; delivers only how the camera is doing.

    The frames themselves are found by whoever watches the folder. One thread does everything; the
    camera is in a process of its own that is replaced whenever anything goes wrong.

    Parameters
    ----------
    folder
        The session's folder, or, of a camera with a `name`, the folder of that name inside it.
    asked
        Which camera: a model, a port, a serial number, an address, or `messages.ANY`.
    ledger
        What was dealt with, in this watch and before. Belongs to the source's thread from now on.
    keep
        Whether pictures stay on the card once they are here.
    earlier
        Whether what was on the card before the session is fetched, too.
    name
        What tells it from other cameras of the session; it begins the lines on the log.
    command
        What to run instead of the camera's process, for trying out how it can go wrong.
    """

    def __init__(
        self,
        folder: Path,
        asked: str,
        ledger: Ledger,
        *,
        keep: bool = True,
        earlier: bool = False,
        name: str = "",
        command: list[str] | None = None,
    ) -> None:
        self._folder = SessionFolder(folder, ledger, own=bool(name))
        self._whose = f"{name}: " if name else ""
        self._asked = asked
        self._ledger = ledger
        self._command = command
        self._stop = threading.Event()
        self._gate = threading.RLock()
        self._deliver: Callable[[Arrival], None] | None = None
        self._said: Camera | None = None
        self._next_state = 0.0
        self._dials = Dials(lambda settings: self._pass_on(Adjusted(settings)))
        self._taking = Taking(
            self._folder, self._show, self._warn, self._dials, keep=keep, earlier=earlier
        )
        self._thread = threading.Thread(target=self._run, name="arrivals camera", daemon=True)

    def start(self, deliver: Callable[[Arrival], None], known: Known | None = None) -> None:
        """Begin to look for the camera, and return at once."""
        self._deliver = deliver
        self._thread.start()

    def stop(self) -> None:
        """End; a transfer under way is broken off, and made good at the next start."""
        with self._gate:
            self._deliver = None
        self._stop.set()
        if self._thread.is_alive() and threading.current_thread() is not self._thread:
            self._thread.join(5.0)

    def _run(self) -> None:
        while not self._stop.is_set():
            pause = AGAIN_S
            try:
                self._spell()
            except Anew:
                pause = _SOON_S
            except (Lost, Refused) as problem:
                if self._taking.connected:
                    pause = _SOON_S
                    _log.debug("lost: %s", problem)
                    self._say(there=False, line="the camera is gone: connecting again")
                elif str(problem):
                    self._wait_for(str(problem))
            except (LedgerError, OSError) as problem:
                self._say(there=False, line=f"frames stay on the card: {problem}")
            except Exception:
                _log.exception("taking frames from the camera failed; it is connected anew")
            self._taking.connected = False
            if pause:
                self._dials.gone()
            self._stop.wait(pause)
        self._ledger.close()

    def _spell(self) -> None:
        """Take frames over one connection, until it ends."""
        self._folder.tidy()
        with CameraProcess(self._stop, self._command) as process:
            camera = connect(process, self._asked, self._wait_for, self._stop)
            self._say(there=True, line=f"connected: {camera}")
            self._taking.take(process, camera)

    def _wait_for(self, why: str) -> None:
        self._say(there=False, line=f"waiting for camera: {why}")

    def _say(self, *, there: bool, line: str) -> None:
        """Tell how the camera is doing, on the log too, if that is news."""
        line = plain(line)
        if self._stop.is_set() or self._said == Camera(there, line):
            return
        _log.info("%s", self._whose + line)  # a dashboard shows the state itself
        self._hand_on(Camera(there, line))

    def _warn(self, line: str) -> None:
        """Say what somebody may want to do something about."""
        _log.warning("%s", self._whose + plain(line))

    def _show(self, line: str) -> None:
        """Show how frames are coming; not every step of it is worth a change of the screen."""
        now = time.monotonic()
        if now >= self._next_state or "MB" not in line:
            self._next_state = now + _STATE_S
            self._hand_on(Camera(True, plain(line)))

    def _hand_on(self, state: Camera) -> None:
        if state == self._said:
            return
        self._said = state
        self._pass_on(state)

    def _pass_on(self, arrival: Arrival) -> None:
        with self._gate:
            if self._deliver is not None:
                self._deliver(arrival)
