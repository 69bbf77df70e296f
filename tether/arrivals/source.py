"""What every source of frames delivers, apart from any one source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from tether.model import CameraSettings


@dataclass(frozen=True, slots=True)
class Whole:
    """A picture file that is whole (or that stopped growing without ever becoming whole).

    `found` is `time.monotonic()` at that moment and `when` the wall clock's reading of it.
    """

    path: Path
    size: int
    mtime_ns: int
    found: float
    when: datetime


@dataclass(frozen=True, slots=True)
class Renamed:
    """A picture file that has another name now; its pixels are the same."""

    old: Path
    new: Path


@dataclass(frozen=True, slots=True)
class Watching:
    """How the source is doing: `there` is False while its folder or camera is away.

    `of` names the source where there are several, here and in what follows.
    """

    there: bool
    line: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class Camera:
    """How the camera is doing: `there` is False while there is none to take frames from."""

    there: bool
    line: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class Adjusted:
    """What the camera is set to now; None while there is none."""

    settings: CameraSettings | None
    of: str = ""


Arrival = Whole | Renamed | Watching | Camera | Adjusted


class Source(Protocol):
    """Something that frames come from; it calls `deliver` from a thread of its own."""

    def start(self, deliver: Callable[[Arrival], None]) -> None:
        """Begin; what is there already is delivered too. Returns at once."""

    def stop(self) -> None:
        """End; no call of `deliver` happens after this returns."""
