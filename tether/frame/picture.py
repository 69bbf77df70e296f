"""One frame as the sources of its focus area see it."""

from __future__ import annotations

from dataclasses import dataclass

from tether.frame.pixels import Luma
from tether.frame.tags import Tags


@dataclass(frozen=True, slots=True)
class Picture:
    """The pixels of a frame, shape (height, width), as stored, and what its metadata says."""

    luma: Luma
    tags: Tags

    @property
    def width(self) -> int:
        """Px, unrotated."""
        return int(self.luma.shape[1])

    @property
    def height(self) -> int:
        """Px, unrotated."""
        return int(self.luma.shape[0])
