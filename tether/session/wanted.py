"""What a worker wants written to the record: the watch's own thread alone writes there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wanted:
    """A write for the watch's own thread. It deals itself with a record that cannot be written."""

    write: Callable[[], None]


Put = Callable[[Wanted], object]


def at_once(wanted: Wanted) -> None:
    """Write where there is no watch to hand it to."""
    wanted.write()
