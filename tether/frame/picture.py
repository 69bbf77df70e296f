"""One frame as the sources of its focus area see it: decoded, with what its metadata says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from tether.frame import metadata
from tether.frame.anchor import Anchor
from tether.frame.decode import decode
from tether.frame.faces import Face, Point
from tether.frame.faces_likely import Likely
from tether.frame.faces_search import Search
from tether.frame.pixels import Luma
from tether.frame.tags import Tags


@dataclass(frozen=True, slots=True)
class Picture:
    """The pixels of a frame, shape (height, width), as stored, and what its metadata says.

    `judged_from` says which of a file's pictures they are, where it holds several. `anchor` is the
    fixed area as it was laid over an earlier frame, if it was. `likely` is where faces are likely.
    `hurried`: its faces are those that a first look finds, until `look_on` finds the rest.
    """

    luma: Luma
    tags: Tags
    judged_from: str = ""
    anchor: Anchor | None = None
    likely: tuple[Likely, ...] = ()
    hurried: bool = False
    _search: list[Search] = field(default_factory=list, compare=False, repr=False)

    @property
    def width(self) -> int:
        """Px, unrotated."""
        return int(self.luma.shape[1])

    @property
    def height(self) -> int:
        """Px, unrotated."""
        return int(self.luma.shape[0])

    def faces(self, at: Point | None = None) -> tuple[Face, ...]:
        """Its faces, the largest first: looked for once, about `at` more closely (`Search`)."""
        if not self._search:
            search = Search(self.luma, self.tags.orientation, at, self.likely)
            search.look()
            if not self.hurried:
                search.look_on()
            self._search.append(search)
        return self._search[0].faces

    @property
    def searching(self) -> bool:
        """Whether its faces were asked for, and the rest of it is still to be looked through."""
        return any(not search.ended for search in self._search)

    @property
    def late(self) -> tuple[Likely, ...]:
        """Where it has faces that a first look would not find in a frame like it."""
        return tuple(place for search in self._search for place in search.late)

    def look_on(self, go_on: Callable[[], bool] = lambda: True) -> bool:
        """Look through the rest of it for faces; False where `go_on` said not to go on."""
        return all(search.look_on(go_on) for search in self._search)


def read(data: bytes, path: Path) -> Picture:
    """Decode a picture and read its metadata.

    Parameters
    ----------
    data
        The file's bytes.
    path
        The file; a sidecar is looked for beside it.

    Raises
    ------
    file.Unreadable
        It yields no picture; the message says why.
    """
    found = decode(data, path)
    height, width = found.luma.shape
    tags = metadata.read(data, path, width, height, found.full)
    if tags.recorded is None and found.full is not None:
        tags = replace(tags, recorded=found.full)
    if found.curve is not None:
        tags = replace(tags, curve=found.curve)
    if found.orientation is not None:
        tags = replace(tags, orientation=found.orientation)
    return Picture(found.luma, tags, found.said)
