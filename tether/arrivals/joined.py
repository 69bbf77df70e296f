"""Several sources as one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tether.arrivals.source import Arrival, Known, Source


class Joined:
    """Starts and stops sources together; each delivers from its own thread."""

    def __init__(self, sources: Sequence[Source]) -> None:
        self._sources = sources

    def start(self, deliver: Callable[[Arrival], None], known: Known) -> None:
        """Begin with each."""
        for source in self._sources:
            source.start(deliver, known)

    def stop(self) -> None:
        """End each."""
        for source in self._sources:
            source.stop()
