"""One frame as the sources of its focus area see it: decoded, with what its metadata says."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from tether.frame import faces, metadata
from tether.frame.anchor import Anchor
from tether.frame.decode import decode
from tether.frame.pixels import Luma
from tether.frame.tags import Tags


@dataclass(frozen=True, slots=True)
class Picture:
    """The pixels of a frame, shape (height, width), as stored, and what its metadata says.

    `judged_from` says which of a file's pictures they are, where it holds several. `anchor` is the
    fixed area as it was laid over an earlier frame, if it was.
    """

    luma: Luma
    tags: Tags
    judged_from: str = ""
    anchor: Anchor | None = None
    _faces: list[tuple[faces.Face, ...]] = field(default_factory=list, compare=False, repr=False)

    @property
    def width(self) -> int:
        """Px, unrotated."""
        return int(self.luma.shape[1])

    @property
    def height(self) -> int:
        """Px, unrotated."""
        return int(self.luma.shape[0])

    def faces(self, at: faces.Point | None = None) -> tuple[faces.Face, ...]:
        """Its faces, the largest first: looked for once, about `at` more closely (`faces.find`)."""
        if not self._faces:
            self._faces.append(faces.find(self.luma, self.tags.orientation, at))
        return self._faces[0]


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
