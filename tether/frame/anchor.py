"""A fixed area with a small picture of the frame it was laid over, for later frames to match."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from tether.frame.pixels import Luma
from tether.model import Rect

Small = NDArray[np.uint8]

LONG_SIDE = 1600
"""A frame's longer side is reduced to no more than this, px, and by a whole number."""

_QUALITY = 90


@dataclass(frozen=True, slots=True)
class Anchor:
    """A fixed area as it lay over one frame.

    `rect` is in px of the unrotated frame, whose width and height are `size`. `small` is that
    frame, unrotated, reduced `times` times. `frame` is its name; `drawn` is whether the area was
    drawn over it, or else is the settings' own.
    """

    rect: Rect
    size: tuple[int, int]
    small: Small = field(repr=False, compare=False)
    frame: str = ""
    drawn: bool = False

    @property
    def times(self) -> int:
        """Px of the frame along one of `small`."""
        return times_for(*self.size)


def lay(luma: Luma, rect: Rect, frame: str, *, drawn: bool) -> Anchor:
    """Lay a fixed area over a frame; `luma` has the shape (height, width), unrotated."""
    height, width = luma.shape
    size = width, height
    whole = Rect(0, 0, width, height)
    return Anchor(rect, size, reduced(luma, whole, times_for(*size)), frame, drawn)


def times_for(width: int, height: int) -> int:
    """By how much a frame of this size, px, is reduced."""
    return max(1, -(-max(width, height) // LONG_SIDE))


def reduced(luma: Luma, part: Rect, times: int) -> Small:
    """Average a part of a frame over squares of `times` px: 8 bit, what fills no square left out.

    The part must lie within the frame.
    """
    import cv2

    high, wide = part.height // times, part.width // times
    cut = luma[part.y : part.y + high * times, part.x : part.x + wide * times]
    small = cut if times == 1 else cv2.resize(cut, (wide, high), interpolation=cv2.INTER_AREA)
    eight = small if small.dtype == np.uint8 else small >> 8
    return np.ascontiguousarray(eight, np.uint8)


def coded(small: Small) -> bytes:
    """The small picture as a grey JPEG."""
    grey = small[..., np.newaxis]
    return bytes(
        simplejpeg.encode_jpeg(grey, quality=_QUALITY, colorspace="GRAY", colorsubsampling="Gray")
    )


def decoded(jpeg: bytes, size: tuple[int, int]) -> Small:
    """The small picture of a frame of this width and height, back from its JPEG.

    Raises
    ------
    ValueError
        It is no JPEG, or of another size than a frame's small picture has.
    """
    times = times_for(*size)
    want = size[1] // times, size[0] // times
    if tuple(simplejpeg.decode_jpeg_header(jpeg)[:2]) != want:
        raise ValueError(f"the small picture is not {want[1]} x {want[0]} px")
    return np.ascontiguousarray(simplejpeg.decode_jpeg(jpeg, colorspace="GRAY")[..., 0])
