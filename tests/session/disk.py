"""A hot folder and a folder outside it, and all that programs and people do to files there.

It keeps in mind what the watch cannot be asked for: which files lay there before the session, and
under which names the record may tell of files that are gone. Files are known by their inodes, for
as long as they are there.
"""

from __future__ import annotations

import hashlib
import itertools
import os
import shutil
import time
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import BinaryIO, Literal

from tether.arrivals.sweep import pictures_below
from tether.frame import kinds

How = Literal["in pieces", "at once", "by rename", "by another of the same time"]

_PAUSE_S = 0.04  # between the pieces of a slow writer
_TICK_S = 0.01  # past the coarsest clock of a file system here: two saves have two times


class Disk:
    """Paths are those below the hot folder.

    Parameters
    ----------
    folder
        The hot folder.
    outside
        A folder on the same file system.
    """

    def __init__(self, folder: Path, outside: Path) -> None:
        self.folder, self.outside = folder, outside
        self._count = itertools.count(1)
        self._passed: dict[int, bytes] = {}
        self._unclear: set[int] = set()
        self._names: dict[int, set[Path]] = {}
        self._ghosts: set[Path] = set()
        self._open: list[BinaryIO] = []

    def pictures(self, *, raw: bool | None = None) -> list[Path]:
        """Every picture in the folder; the raws alone, or the others."""
        found = [path.relative_to(self.folder) for path in pictures_below(self.folder)]
        return [one for one in found if raw is None or kinds.is_raw(one) == raw]

    def away(self) -> list[Path]:
        """Names of the files outside."""
        return sorted(Path(one.name) for one in self.outside.iterdir())

    def pass_over(self) -> None:
        """Note that whatever lies there now was there before the session."""
        for path in self.pictures():
            self._passed[self._ino(path)] = self._content(path)

    # What is done to files.

    def write(self, path: Path, content: bytes, how: How) -> None:
        """Save a file, over whatever is there."""
        place = self._made(path)
        if place.exists():
            time.sleep(_TICK_S)
        if how in {"in pieces", "at once"}:
            if place.exists():
                self._changed(path)
            with place.open("wb") as file:
                if how == "in pieces":
                    for piece in (content[:1000], content[1000:2000]):
                        file.write(piece)
                        file.flush()
                        time.sleep(_PAUSE_S)
                file.write(content[file.tell() :])
        else:
            part = place.with_name(f".{place.name}.part")
            part.write_bytes(content)
            if how == "by another of the same time":
                # While it is open its number is no other file's.
                self._open.append(place.open("rb"))
                when = place.stat().st_mtime_ns
                os.utime(part, ns=(when, when))
            part.replace(place)
        self._look()

    def shoot(self, content: bytes, names: Sequence[str], pause_s: float) -> Path:
        """Save an exposure under the first of these names, then give it each of the others.

        The last is numbered, and not that of any other.
        """
        *first, last = names
        paths = [Path(f"{name}.jpg") for name in (*first, f"{last}-{next(self._count):03}")]
        self.write(paths[0], content, "at once")
        for old, new in pairwise(paths):
            time.sleep(pause_s)
            self.rename(old, new)
        return paths[-1]

    def rename(self, old: Path, new: Path) -> None:
        """Move a file within the folder, onto whatever is there."""
        (self.folder / old).replace(self._made(new))
        self._look()

    def swap(self, one: Path, other: Path) -> None:
        """Have two files change names."""
        aside = (self.folder / one).with_name(".aside")
        (self.folder / one).replace(aside)
        (self.folder / other).replace(self.folder / one)
        aside.replace(self.folder / other)
        self._look()

    def rename_folder(self, old: str, new: str) -> None:
        """Give a subfolder a name that no other has."""
        (self.folder / old).rename(self.folder / new)
        self._look()

    def touch(self, path: Path) -> None:
        """Save a file without a change."""
        time.sleep(_TICK_S)
        self._changed(path)
        os.utime(self.folder / path)

    def delete(self, path: Path) -> None:
        """Remove a file."""
        (self.folder / path).unlink()
        self._look()

    def take_out(self, path: Path) -> None:
        """Move a file out of the folder."""
        (self.folder / path).rename(self.outside / f"{next(self._count):03}{path.suffix}")
        self._look()

    def bring_back(self, name: Path, new: Path) -> None:
        """Move a file in again, onto whatever is there."""
        (self.outside / name).replace(self._made(new))
        self._look()

    def link(self, path: Path, new: Path) -> None:
        """Give a file a second name that is free."""
        self._changed(path)
        self._made(new).hardlink_to(self.folder / path)
        self._look()

    def copy(self, path: Path, new: Path, *, keep_times: bool) -> None:
        """Copy a file to a name that is free."""
        (shutil.copy2 if keep_times else shutil.copyfile)(self.folder / path, self._made(new))
        if keep_times and self._is_passed(path):  # either may be taken for the other
            self._passed[self._ino(new)] = self._content(new)
            self._unclear |= {self._ino(path), self._ino(new)}
        self._look()

    def close(self) -> None:
        """Let go of all files."""
        for one in self._open:
            one.close()

    # What is known of them.

    def passed(self) -> set[Path]:
        """Files that are no frames of the session: they lay there before, as they are."""
        return {one for one in self.pictures() if self._is_passed(one)} - self.unclear()

    def unclear(self) -> set[Path]:
        """Files of before that were touched, or are there twice: frames or none."""
        changed = {one for one in self.pictures() if self._ino(one) in self._unclear}
        return {one for one in changed if self._is_passed(one)}

    def gone(self) -> set[Path]:
        """Names of files that are gone: their rows may be there still.

        The others were only ever renamed. A file that was touched or got a second name may be one
        that came: what is asked for is that a frame follows its file, not that it guesses well.
        """
        return set(self._ghosts)

    def _is_passed(self, path: Path) -> bool:
        before = self._passed.get(self._ino(path))
        return before is not None and before == self._content(path)

    def _changed(self, path: Path) -> None:
        """Something is done to a file by which it may be taken for another."""
        number = self._ino(path)
        self._unclear.add(number)
        self._ghosts |= self._names.get(number, set())

    def _look(self) -> None:
        """See what is called what now, and forget files that are gone: their numbers come again."""
        now: dict[int, set[Path]] = {}
        for path in self.pictures():
            now.setdefault(self._ino(path), set()).add(path)
        for number in self._names.keys() - now.keys():
            self._ghosts |= self._names[number]
        self._names = {one: self._names.get(one, set()) | names for one, names in now.items()}
        there = now.keys() | {one.stat().st_ino for one in self.outside.iterdir()}
        self._passed = {one: told for one, told in self._passed.items() if one in there}
        self._unclear &= there

    def _ino(self, path: Path) -> int:
        return (self.folder / path).stat().st_ino

    def _content(self, path: Path) -> bytes:
        return hashlib.sha256((self.folder / path).read_bytes()).digest()

    def _made(self, path: Path) -> Path:
        place = self.folder / path
        place.parent.mkdir(exist_ok=True)
        return place
