"""The card in the camera: folders and pictures under their handles."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from mocks.camera.codes import ROOT, Format, format_of


@dataclass(frozen=True, slots=True)
class Thing:
    """A folder or a file. `announced` is the size that its ObjectInfo claims."""

    handle: int
    parent: int
    name: str
    format: Format
    content: bytes
    announced: int
    taken: datetime


class Card:
    """What was shot so far; threads may share it."""

    def __init__(self, folder: str = "100KILNS") -> None:
        self._lock = threading.Lock()
        self._things: dict[int, Thing] = {}
        self._next = 1
        self._dcim = self.add_folder("DCIM", 0)
        self._folder = self.add_folder(folder, self._dcim)

    def add(
        self,
        name: str,
        content: bytes,
        *,
        announced: int | None = None,
        parent: int | None = None,
        taken: datetime | None = None,
    ) -> int:
        """Store a file and return its handle; nobody is told."""
        size = len(content) if announced is None else announced
        where = self._folder if parent is None else parent
        return self._put(name, format_of(name), content, size, where, taken or datetime.now())

    def add_folder(self, name: str, parent: int | None = None) -> int:
        """Make a folder, beside the pictures if no other parent is named; return its handle."""
        where = self._folder if parent is None else parent
        return self._put(name, Format.ASSOCIATION, b"", 0, where, datetime.now())

    def remove(self, handle: int) -> bool:
        """Take a thing away; False if it is not there."""
        with self._lock:
            return self._things.pop(handle, None) is not None

    def format(self) -> None:
        """Take all files away; the folders stay, and handles count on."""
        with self._lock:
            self._things = {
                handle: thing
                for handle, thing in self._things.items()
                if thing.format is Format.ASSOCIATION
            }

    def get(self, handle: int) -> Thing | None:
        """Return the thing under a handle."""
        with self._lock:
            return self._things.get(handle)

    def below(self, parent: int) -> list[int]:
        """Return the handles in a folder (`ROOT` for the topmost, 0 for all there are)."""
        with self._lock:
            if parent == 0:
                return list(self._things)
            wanted = 0 if parent == ROOT else parent
            return [handle for handle, thing in self._things.items() if thing.parent == wanted]

    @property
    def used(self) -> int:
        """Bytes that the files take."""
        return sum(len(thing.content) for thing in self)

    def __iter__(self) -> Iterator[Thing]:
        with self._lock:
            things = list(self._things.values())
        return (thing for thing in things if thing.format is not Format.ASSOCIATION)

    def _put(
        self, name: str, kind: Format, content: bytes, size: int, parent: int, taken: datetime
    ) -> int:
        with self._lock:
            handle, self._next = self._next, self._next + 1
            self._things[handle] = Thing(handle, parent, name, kind, content, size, taken)
        return handle
