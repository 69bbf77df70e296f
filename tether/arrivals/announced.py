"""Files that a sweep found first, to notice a folder from which no events come."""

from __future__ import annotations

GRACE = 1.0
"""Seconds an event may come later than the sweep that found its file."""

ENOUGH = 2
"""In how many sweeps a file without an event must be found to give up on events."""


class Unannounced:
    """Files found by sweeps that no event has told of."""

    def __init__(self) -> None:
        self._found: dict[str, float] = {}
        self._sweeps: set[float] = set()

    def found(self, path: str, swept: float) -> None:
        """Note a new file that the sweep at this moment found before any event told of it."""
        self._found.setdefault(path, swept)

    def told(self, path: str) -> None:
        """Note that an event told of the file."""
        self._found.pop(path, None)

    def no_events_come(self, now: float) -> bool:
        """Return whether sweeps found files twice that no event told of in all the time since."""
        late = [path for path, swept in self._found.items() if now - swept > GRACE]
        self._sweeps.update(self._found.pop(path) for path in late)
        return len(self._sweeps) >= ENOUGH

    def clear(self) -> None:
        """Start anew, for events that were started anew."""
        self._found.clear()
        self._sweeps.clear()
