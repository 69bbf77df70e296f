"""Exif Orientation (CIPA DC-008, tag 0x0112): from stored pixels to the right way up, and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tether.frame.pixels import Luma
from tether.model import Rect

_BACK = {6: 8, 8: 6}  # the orientation that undoes another; the rest undo themselves


def upright(stored: Luma, orientation: int) -> Luma:
    """Turn and mirror a stored array of shape (height, width) as it is to be looked at.

    `orientation` is 1 to 8; the shape is swapped for 5 to 8. No pixel is changed.
    """
    turned: Luma = stored.T if orientation in {5, 6, 7, 8} else stored
    flips = {2: (1,), 3: (0, 1), 4: (0,), 6: (1,), 7: (0, 1), 8: (0,)}.get(orientation, ())
    return np.flip(turned, flips) if flips else turned


def stored(
    shown: NDArray[np.float64], orientation: int, width: int, height: int
) -> NDArray[np.float64]:
    """Take points of the picture the right way up back to where they are stored.

    `shown` holds x, y in its last axis, px from the top-left corner; `width` and `height` are
    those of the stored picture, px.
    """
    x, y = shown[..., 0], shown[..., 1]
    if orientation in {5, 6, 7, 8}:
        x, y = y, x
    if orientation in {2, 3, 7, 8}:
        x = width - x
    if orientation in {3, 4, 6, 7}:
        y = height - y
    return np.stack([x, y], axis=-1)


def shown(
    stored_at: NDArray[np.float64], orientation: int, width: int, height: int
) -> NDArray[np.float64]:
    """Take points of the stored picture, px, to where they are seen the right way up.

    `width` and `height` are those of the stored picture, px.
    """
    if orientation in {5, 6, 7, 8}:
        width, height = height, width
    return stored(stored_at, _BACK.get(orientation, orientation), width, height)


def stored_rect(shown: Rect, orientation: int, width: int, height: int) -> Rect:
    """Take a rectangle of the picture the right way up back to where it is stored.

    `width` and `height` are those of the stored picture, px.
    """
    corners = [(shown.x, shown.y), (shown.x + shown.width, shown.y + shown.height)]
    found = stored(np.array(corners, np.float64), orientation, width, height)
    (left, top), (right, bottom) = found.min(0).round(), found.max(0).round()
    return Rect(int(left), int(top), int(right - left), int(bottom - top))


def shown_rect(rect: Rect, orientation: int, width: int, height: int) -> Rect:
    """Take a rectangle of the stored picture to where it is seen the right way up."""
    if orientation in {5, 6, 7, 8}:
        width, height = height, width
    return stored_rect(rect, _BACK.get(orientation, orientation), width, height)
