"""A source among several: whatever it tells of itself says which one it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from tether.arrivals.source import Adjusted, Arrival, Camera, Known, Source, Watching


class Named:
    """Delivers what `source` does, under `name` where that is about the source itself."""

    def __init__(self, source: Source, name: str) -> None:
        self._source = source
        self._name = name

    def start(self, deliver: Callable[[Arrival], None], known: Known) -> None:
        """Begin."""

        def hand_on(arrival: Arrival) -> None:
            if isinstance(arrival, Watching | Camera | Adjusted):
                arrival = replace(arrival, of=self._name)
            deliver(arrival)

        self._source.start(hand_on, known)

    def stop(self) -> None:
        """End."""
        self._source.stop()
