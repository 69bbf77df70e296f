"""Small 8-bit copies of a frame's pixels, in memory that is used again for the next frame.

A frame is looked through in a few milliseconds: to ask the system for memory anew each time would
take as long again. Each thread has its own.
"""

from __future__ import annotations

import math
import threading
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.pixels import Luma

if TYPE_CHECKING:
    from tether.frame.view import Small


class _Memory(threading.local):
    def __init__(self) -> None:
        self.flat: dict[str, Small] = {}


_memory = _Memory()


def room(name: str, shape: tuple[int, ...]) -> Small:
    """Memory for a picture, with whatever was left there; it stays until `name` is asked for again.

    Parameters
    ----------
    name
        Of the memory: pictures that are needed side by side have names of their own.
    shape
        Rows and columns.
    """
    size = math.prod(shape)
    flat = _memory.flat.get(name)
    if flat is None or flat.size < size:
        flat = _memory.flat[name] = np.empty(size, np.uint8)
    return flat[:size].reshape(shape)


def eight_bits(luma: Luma, name: str) -> Small:
    """A copy in 8 bits; 16 are spread to the brightest, for they may be dark all over."""
    import cv2

    copy = room(name, luma.shape)
    if luma.dtype == np.uint8:
        np.copyto(copy, luma)
    else:
        brightest = max(int(luma.max(initial=0)), 1)
        cv2.convertScaleAbs(np.ascontiguousarray(luma), copy, 255 / brightest)
    return copy


def halved(picture: Small, name: str) -> Small:
    """A picture half as wide and high, each px the mean of four."""
    import cv2

    wide, high = picture.shape[1] // 2, picture.shape[0] // 2
    even = picture[: 2 * high, : 2 * wide]
    half = room(name, (high, wide))
    return np.asarray(cv2.resize(even, (wide, high), half, interpolation=cv2.INTER_AREA), np.uint8)
