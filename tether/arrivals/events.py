"""What the operating system tells of a folder while it happens, behind a small protocol."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol


@dataclass(frozen=True, slots=True)
class FileSeen:
    """A file appeared or changed; `closed` once its writer is done with it or moved it here."""

    path: str
    closed: bool


@dataclass(frozen=True, slots=True)
class FileGone:
    """A file was deleted, or moved away from here."""

    path: str


@dataclass(frozen=True, slots=True)
class FolderSeen:
    """A subfolder appeared, perhaps with files in it, or has another name."""

    path: str


@dataclass(frozen=True, slots=True)
class EventsLost:
    """More happened than could be told: only a sweep knows what."""


Event = FileSeen | FileGone | FolderSeen | EventsLost


class Events(Protocol):
    """Something that tells of a folder; started once, stopped once."""

    def start(self, folder: Path, tell: Callable[[Event], None]) -> None:
        """Begin to tell of the folder and all below it, from a thread of its own.

        Raises
        ------
        OSError
            The folder cannot be watched, or a limit of the system is reached.
        """

    def stop(self) -> None:
        """End, and give back all that is held."""

    def alive(self) -> bool:
        """Return whether events still can come."""
