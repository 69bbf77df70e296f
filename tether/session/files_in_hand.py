"""The files of the frames in hand, by where they lie and by what they are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

from tether.frame.file import FileIdentity
from tether.session.frame_in_hand import FileInHand, FrameInHand

_Stat = tuple[int, int, int]  # inode, size, time of change
_Key = TypeVar("_Key", tuple[int, int], tuple[int, int, int])


class FilesInHand:
    """Every file with the frame that it belongs to; for the watch's own thread alone."""

    def __init__(self) -> None:
        self._owners: dict[FileInHand, FrameInHand] = {}
        self._at: dict[Path, FileInHand] = {}
        self._same: dict[_Stat, list[FileInHand]] = {}
        self._lost: dict[tuple[int, int], list[FileInHand]] = {}
        self._alike: Counter[tuple[int, int]] = Counter()

    def __iter__(self) -> Iterator[FileInHand]:
        return iter(self._owners)

    def add(self, file: FileInHand, frame: FrameInHand) -> None:
        """Take in a file; if it is there, whatever had its place has it no more."""
        self._owners[file] = frame
        if file.there or file.path not in self._at:
            self._at[file.path] = file
        self._same.setdefault(_stat(file.identity), []).append(file)
        self._alike[_size_and_time(file.identity)] += 1
        if not file.there:
            self._lost.setdefault(_size_and_time(file.identity), []).append(file)

    def owner(self, file: FileInHand) -> FrameInHand:
        """The frame that a file belongs to."""
        return self._owners[file]

    def belongs(self, file: FileInHand, frame: FrameInHand) -> bool:
        """Whether a file is known, and a frame's."""
        return self._owners.get(file) is frame

    def give(self, file: FileInHand, frame: FrameInHand) -> None:
        """Have a file belong to another frame."""
        self._owners[file] = frame

    def at(self, path: Path) -> FileInHand | None:
        """The file that stands at this path, or stood there last."""
        return self._at.get(path)

    def has_its_place(self, file: FileInHand) -> bool:
        """Whether no other file stands where this one stands, or stood."""
        return self._at.get(file.path) is file

    def same(self, identity: FileIdentity) -> list[FileInHand]:
        """Files of this very inode, size and time of change: links to one file are several."""
        return list(self._same.get(_stat(identity), ())) if identity.inode else []

    def ambiguous(self, identity: FileIdentity) -> bool:
        """Whether several files have this size and time: an inode may pass from one to another."""
        return self._alike[_size_and_time(identity)] > 1

    def lost_like(self, identity: FileIdentity) -> list[FileInHand]:
        """Files of this size and time of change that are not where they were."""
        return list(self._lost.get(_size_and_time(identity), ()))

    def move(self, file: FileInHand, path: Path, identity: FileIdentity) -> None:
        """Have a file lie elsewhere, or be numbered otherwise."""
        frame = self._owners[file]
        self.drop(file)
        file.path, file.identity, file.there = path, identity, True
        self.add(file, frame)

    def lose(self, file: FileInHand) -> None:
        """Note that a file is not where it was; its place stays its own until another takes it."""
        if file.there:
            file.there = False
            self._lost.setdefault(_size_and_time(file.identity), []).append(file)

    def find(self, file: FileInHand) -> None:
        """Note that a file is where it was, after all."""
        if not file.there:
            _remove(self._lost, _size_and_time(file.identity), file)
            file.there = True

    def drop(self, file: FileInHand) -> None:
        """Know nothing more of a file."""
        if self._owners.pop(file, None) is not None:
            self._alike[_size_and_time(file.identity)] -= 1
            if not self._alike[_size_and_time(file.identity)]:
                del self._alike[_size_and_time(file.identity)]
        if self._at.get(file.path) is file:
            del self._at[file.path]
        _remove(self._same, _stat(file.identity), file)
        if not file.there:
            _remove(self._lost, _size_and_time(file.identity), file)


def _stat(identity: FileIdentity) -> _Stat:
    return identity.inode, identity.size, identity.mtime_ns


def _size_and_time(identity: FileIdentity) -> tuple[int, int]:
    return identity.size, identity.mtime_ns


def _remove(index: dict[_Key, list[FileInHand]], key: _Key, file: FileInHand) -> None:
    found = index.get(key, [])
    if file in found:
        found.remove(file)
        if not found:
            del index[key]
