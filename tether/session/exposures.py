"""What files are of one exposure: those of one folder that share a name but for its ending."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from pathlib import Path

from tether.session.frame_in_hand import FrameInHand

Key = tuple[str, str]


def key(path: Path) -> Key:
    """What the files of one exposure share: the folder, and the name without its ending."""
    # Strings: of 50,000 frames paths would be some 10 MB more.
    return sys.intern(str(path.parent)), path.stem.casefold()


def frame_name(below: Path) -> str:
    """A frame's name in its session: its path below the folder, without the ending."""
    return str(below.with_suffix(""))


@dataclass(slots=True)
class Exposure:
    """The frames of one name: those of pictures, and those of raws that have no picture.

    Raws beside a picture belong to its frame, all of them to the first there is.
    """

    pictures: list[FrameInHand] = field(default_factory=list)
    alone: list[FrameInHand] = field(default_factory=list)


class Exposures:
    """All of them by their names."""

    def __init__(self) -> None:
        self._exposures: dict[Key, Exposure] = {}

    def of(self, path: Path) -> Exposure:
        """The one that a file of this path belongs to."""
        return self._exposures.setdefault(key(path), Exposure())

    def holds(self, frame: FrameInHand) -> bool:
        """Whether a frame is of the exposure of its name."""
        exposure = self._exposures.get(key(frame.path))
        return exposure is not None and frame in (*exposure.pictures, *exposure.alone)

    def leave(self, frame: FrameInHand) -> Exposure:
        """Take a frame out; returns the exposure that it was of."""
        name = key(frame.path)
        exposure = self._exposures.get(name, Exposure())
        for frames in (exposure.pictures, exposure.alone):
            if frame in frames:
                frames.remove(frame)
        if not exposure.pictures and not exposure.alone:
            self._exposures.pop(name, None)
        return exposure
