"""A raw and a JPEG of the same exposure are one frame, judged from the JPEG."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from tether.arrivals.source import Whole

Key = tuple[Path, str]


def key(path: Path) -> Key:
    """What the files of one exposure share: the folder, and the name without its ending."""
    return path.parent, path.stem.casefold()


def frame_name(below: Path) -> str:
    """A frame's name in its session: its path below the folder, without the ending."""
    return str(below.with_suffix(""))


@dataclass(slots=True)
class Pairing:
    """Joins raw files to their JPEGs, whichever comes first. Times are `time.monotonic()`."""

    wait_s: float
    pictures: dict[Key, Path] = field(default_factory=dict)
    raw_of: dict[Path, Path] = field(default_factory=dict)
    paired: set[Path] = field(default_factory=set)
    _alone: dict[Key, tuple[float, Whole]] = field(default_factory=dict)
    _told: dict[Key, Path] = field(default_factory=dict)

    def picture(self, path: Path) -> None:
        """Note a picture that can be read; a raw that waited for it is its own now."""
        if key(path) not in self.pictures:
            self.pictures[key(path)] = path
        waiting = self._alone.pop(key(path), None)
        raw = waiting[1].path if waiting else self._told.pop(key(path), None)
        if raw is not None:
            self.pair(path, raw)

    def pair(self, picture: Path, raw: Path) -> None:
        """Note that this raw belongs to this picture."""
        self.raw_of[picture] = raw
        self.paired.add(raw)

    def raw(self, whole: Whole) -> Path | None:
        """Return the picture this raw belongs to, or None: then it waits for one."""
        picture = self.pictures.get(key(whole.path))
        if picture is not None:
            self.pair(picture, whole.path)
            return picture
        self._alone[key(whole.path)] = (whole.found + self.wait_s, whole)
        return None

    def renamed(self, old: Path, new: Path) -> None:
        """Follow a picture to its new name; its raw stays its own."""
        if self.pictures.get(key(old)) == old:
            del self.pictures[key(old)]
        raw = self.raw_of.pop(old, None)
        if raw is not None:
            self.raw_of[new] = raw
        self.pictures.setdefault(key(new), new)

    def told(self, raw: Path) -> None:
        """Note a raw that has a line of its own, in case its picture comes later."""
        self._told[key(raw)] = raw

    def overdue(self, now: float) -> list[Whole]:
        """Raws that waited long enough for a picture; they stand alone from here on."""
        late = [k for k, (deadline, _) in self._alone.items() if deadline <= now]
        found = [self._alone.pop(k)[1] for k in late]
        for whole in found:
            self.told(whole.path)
        return found
