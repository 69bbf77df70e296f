"""What every source of frames delivers, apart from any one source."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from tether.frame.file import FileIdentity
from tether.model import CameraSettings


@dataclass(frozen=True, slots=True)
class Whole:
    """A picture file that is whole (or that stopped growing without ever becoming whole).

    It may be one that was delivered before, under another name: `file` tells. `found` is
    `time.monotonic()` at that moment and `when` the wall clock's reading of it. `swept` is whether
    it was there before anybody looked, and not seen to come.
    """

    path: Path
    file: FileIdentity
    found: float
    when: datetime
    swept: bool = False


@dataclass(frozen=True, slots=True)
class Vanished:
    """A picture file that is not at this path any more: deleted, or moved."""

    path: Path


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


Arrival = Whole | Vanished | Watching | Camera | Adjusted

Known = Mapping[Path, FileIdentity]
"""Files that need no delivery as long as they are what they were: known from an earlier watch."""


class Source(Protocol):
    """Something that frames come from; it calls `deliver` from a thread of its own."""

    def start(self, deliver: Callable[[Arrival], None], known: Known) -> None:
        """Begin; what is there already is delivered too, unless `known`. Returns at once.

        Files of `known` that are not there are delivered as vanished.
        """

    def stop(self) -> None:
        """End; no call of `deliver` happens after this returns."""
