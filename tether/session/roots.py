"""The folders and cameras of one session: which of them a frame came from, and its name there.

The session's own folder holds the record, which names what lies in it by its path below. What lies
in a further folder is named by its whole path: joined to the session's folder that stays itself.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tether.plain import plain
from tether.session.exposures import frame_name
from tether.session.shot_list.spelling import folded


@dataclass(frozen=True, slots=True)
class Origin:
    """A folder that frames come into.

    `camera` says whose they are, where that is a question, and then begins their names if `named`.
    `within` is the folder that no link may lead out of.
    """

    folder: Path
    within: Path
    camera: str | None = None
    named: bool = False


class Roots:
    """Where the frames of a session come from.

    Parameters
    ----------
    home
        The session's own folder.
    others
        Further folders; none lies in another.
    cameras
        Names of cameras whose frames come into a folder of that name inside the session's.
    """

    def __init__(
        self, home: Path, others: Sequence[Path] = (), cameras: Sequence[str] = ()
    ) -> None:
        # As the sources name them: what arrives is looked up below. A link stays a link.
        self.home = home = Path(os.path.abspath(home))  # noqa: PTH100
        taken = {folded(name) for name in cameras}
        own = Origin(home, home, _free(home, taken) if others else None)
        origins = [own, *(Origin(home / name, home, name, named=True) for name in cameras)]
        for other in others:
            folder = Path(os.path.abspath(other))  # noqa: PTH100
            origins.append(Origin(folder, folder, _free(folder, taken, home), named=True))
        self.origins = tuple(origins)
        self._innermost = sorted(origins, key=lambda one: -len(one.folder.parts))

    @property
    def own(self) -> Origin:
        """The session's own folder."""
        return self.origins[0]

    def below(self, path: Path) -> Path:
        """A path as the record names it."""
        origin = self._of(path)
        if origin is None or origin.within != self.home:
            return path
        return path.relative_to(self.home)

    def inside(self, path: Path) -> Path:
        """A path, whole or as the record names it, below the folder that it came into."""
        whole = self.home / path
        origin = self._of(whole)
        return whole.relative_to(origin.folder) if origin is not None else Path(path.name)

    def name(self, path: Path) -> str:
        """A frame's name in the session."""
        origin = self._of(path)
        if origin is None:
            return frame_name(Path(path.name))
        name = frame_name(path.relative_to(origin.folder))
        return f"{origin.camera}/{name}" if origin.named else name

    def camera(self, path: Path) -> str | None:
        """Whose frame it is; None where only one comes into question."""
        origin = self._of(path)
        return origin.camera if origin is not None else None

    def within(self, path: Path) -> Path:
        """The folder that this file may not be a link out of."""
        origin = self._of(path)
        return origin.within if origin is not None else path.parent

    def there(self, path: Path) -> bool:
        """Whether the folder that this file came into, or comes from, is there."""
        return self.within(path).is_dir()

    def _of(self, path: Path) -> Origin | None:
        return next((one for one in self._innermost if path.is_relative_to(one.folder)), None)


def why_not_together(folders: Sequence[Path]) -> str:
    """Say why these folders cannot be watched in one session; empty if they can."""
    real = [Path(os.path.realpath(folder)) for folder in folders]
    for at, folder in enumerate(real):
        for before, other in enumerate(real[:at]):
            one, two = plain(str(folders[at])), plain(str(folders[before]))
            if folder == other or _same(folder, other):
                return f"{one} is the same folder as {two}; name it once"
            for inner, outer in ((folder, other), (other, folder)):
                if inner.is_relative_to(outer):
                    told = (one, two) if inner is folder else (two, one)
                    return f"{told[0]} lies in {told[1]}, which is watched with all folders in it"
    return ""


def _same(one: Path, two: Path) -> bool:
    try:
        return one.samefile(two)
    except OSError:
        return False


def _free(folder: Path, taken: set[str], home: Path | None = None) -> str:
    """The folder's own name, with a number where another has it, or a folder in `home`."""
    wanted = plain(folder.name) or "folder"
    name, number = wanted, 1
    while folded(name) in taken or (home is not None and (home / name).exists()):
        number += 1
        name = f"{wanted}-{number}"
    taken.add(folded(name))
    return name
