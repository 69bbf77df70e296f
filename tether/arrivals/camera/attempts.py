"""Files that the camera announced and has not given: how often to ask, and when to ask again."""

from __future__ import annotations

import time

from tether.arrivals.camera.messages import OnCard

MOST = 3
"""How often a file is asked for before the others go on without it."""

SOON_S, LATE_S = 2.0, 600.0
"""Seconds until the card is looked through for such files again: at first, and in the end."""


class Attempts:
    """Counts failures by file, over all connections."""

    def __init__(self) -> None:
        self._failed: dict[OnCard, int] = {}
        self._pause_s = SOON_S
        self._again = 0.0

    def failed(self, file: OnCard) -> int:
        """Count one more failure, and return how many there were."""
        self._failed[file] = self._failed.get(file, 0) + 1
        self._again = time.monotonic() + self._pause_s
        return self._failed[file]

    def give_up(self, file: OnCard) -> None:
        """Do without a file until all is looked through again."""
        self.failed(file)
        self._failed[file] = MOST

    def given_up(self, file: OnCard) -> bool:
        """Whether the others go on without it."""
        return self._failed.get(file, 0) >= MOST

    def done(self, file: OnCard) -> None:
        """Note that the camera gave it."""
        if self._failed.pop(file, None) is not None:
            self._pause_s = SOON_S

    def again(self) -> bool:
        """Whether it is time to look for what is missing; then every file has its chances anew."""
        if not self._failed or time.monotonic() < self._again:
            return False
        self._failed.clear()
        self._pause_s = min(LATE_S, 2 * self._pause_s)
        return True
