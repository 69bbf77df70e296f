"""A rectangle that keys move and size: within the frame, and of sides that can be judged."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tether.model import Rect


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle over a frame of `frame` (width, height), px, the right way up.

    Its sides are `least` to `most` px, or the frame's where that is smaller.
    """

    rect: Rect
    frame: tuple[int, int]
    least: int
    most: int

    def moved(self, right: int, down: int) -> Rectangle:
        """The same, so many px farther, as far as the frame goes."""
        r = self.rect
        x = min(max(r.x + right, 0), self.frame[0] - r.width)
        y = min(max(r.y + down, 0), self.frame[1] - r.height)
        return replace(self, rect=Rect(x, y, r.width, r.height))

    def sized(self, wider: int, taller: int) -> Rectangle:
        """The same about its middle, so many px wider and taller."""
        r = self.rect
        width = self._side(r.width + wider, self.frame[0])
        height = self._side(r.height + taller, self.frame[1])
        x, y = r.x + (r.width - width) // 2, r.y + (r.height - height) // 2
        return replace(self, rect=Rect(x, y, width, height)).moved(0, 0)

    def _side(self, length: int, frame: int) -> int:
        return min(max(length, self.least), self.most, frame)
