"""What the camera is set to, read while it has nothing else to do."""

from __future__ import annotations

import time
from collections.abc import Callable

from tether.arrivals.camera import values, widgets
from tether.arrivals.camera.process import CameraProcess
from tether.model import CameraSettings

EVERY_S = 2.0
"""How often settings are read of a camera that does not say when they change."""

SOON_S = 0.5
"""How soon after another reading a change may be read: some cameras tell of each reading."""


class Dials:
    """Reads the settings that can make a frame soft, and hands them on when they changed.

    Parameters
    ----------
    hand_on
        Is told what the camera is set to, and None once it is gone.
    """

    def __init__(self, hand_on: Callable[[CameraSettings | None], None]) -> None:
        self._hand_on = hand_on
        self._names: frozenset[str] = frozenset()
        self._known: CameraSettings | None = None
        self._changed = False
        self._read = 0.0

    def changed(self) -> None:
        """Note that the camera told of a change."""
        self._changed = True

    def gone(self) -> None:
        """Forget a camera that is no longer connected."""
        self._names = frozenset()
        self._tell(None)

    def look(self, process: CameraProcess) -> None:
        """Read them, if it is time.

        Raises
        ------
        Refused, Lost
            The camera does not answer any more.
        """
        now = time.monotonic()
        due = self._read + (SOON_S if self._changed else EVERY_S)
        if self._names and now < due:
            return
        self._changed = False
        told = process.told(self._names or widgets.SOFTENING)
        if not told:
            # A dead link answers so, too.
            process.probe()
        self._read = time.monotonic()
        self._names = self._names or frozenset(told) or widgets.SOFTENING
        self._tell(values.settings(told))

    def _tell(self, settings: CameraSettings | None) -> None:
        if settings != self._known:
            self._known = settings
            self._hand_on(settings)
