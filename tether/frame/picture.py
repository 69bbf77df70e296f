"""One frame as the sources of its focus area see it."""

from __future__ import annotations

from dataclasses import dataclass, field

from tether.frame import faces
from tether.frame.anchor import Anchor
from tether.frame.pixels import Luma
from tether.frame.tags import Tags


@dataclass(frozen=True, slots=True)
class Picture:
    """The pixels of a frame, shape (height, width), as stored, and what its metadata says.

    `anchor` is the fixed area as it was laid over an earlier frame, if it was.
    """

    luma: Luma
    tags: Tags
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
