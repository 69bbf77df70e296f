"""The small picture of a focus area that the record keeps and screens show."""

from __future__ import annotations

import math

import numpy as np
import simplejpeg

from tether.frame.orientation import upright
from tether.frame.pixels import Luma
from tether.model import Rect

# As large as a big terminal shows at one pixel a half cell.
CROP_WIDTH, CROP_HEIGHT = 320, 240


def crop(luma: Luma, rect: Rect, orientation: int) -> bytes:
    """Cut the middle of an area out of a frame, the right way up: a grey JPEG.

    Parameters
    ----------
    luma
        The frame, shape (height, width), unrotated.
    rect
        The area, px of it.
    orientation
        Exif Orientation, 1 to 8.
    """
    swapped = orientation in {5, 6, 7, 8}
    wide, high = (CROP_HEIGHT, CROP_WIDTH) if swapped else (CROP_WIDTH, CROP_HEIGHT)
    left = max(rect.x + (rect.width - wide) // 2, 0)
    top = max(rect.y + (rect.height - high) // 2, 0)
    cut = upright(luma[top : top + high, left : left + wide], orientation)
    eight = cut if cut.dtype == np.uint8 else (cut >> 8).astype(np.uint8)
    grey = np.ascontiguousarray(eight)[..., np.newaxis]
    coded = simplejpeg.encode_jpeg(grey, quality=88, colorspace="GRAY", colorsubsampling="Gray")
    return bytes(coded)


def crop_of_all(luma: Luma, rect: Rect, orientation: int) -> bytes:
    """Cut all of an area out of a frame, reduced until it fits, the right way up: a grey JPEG.

    Takes what `crop` takes.
    """
    cut = luma[rect.y : rect.y + rect.height, rect.x : rect.x + rect.width]
    swapped = orientation in {5, 6, 7, 8}
    wide, high = (CROP_HEIGHT, CROP_WIDTH) if swapped else (CROP_WIDTH, CROP_HEIGHT)
    times = max(math.ceil(rect.width / wide), math.ceil(rect.height / high))
    if times > 1:
        import cv2

        size = (max(rect.width // times, 1), max(rect.height // times, 1))
        cut = cv2.resize(np.ascontiguousarray(cut), size, interpolation=cv2.INTER_AREA)
    return crop(cut, Rect(0, 0, cut.shape[1], cut.shape[0]), orientation)
