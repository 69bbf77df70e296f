"""Cutting areas out of a frame."""

from __future__ import annotations

from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from tether.model import Rect

Pixels = NDArray[np.uint8] | NDArray[np.uint16]
AnyPixels = TypeVar("AnyPixels", bound=NDArray[Any])

MARGIN = 24
"""Pixels of the frame to give around an area that is measured, where it has them."""


def with_margin(luma: AnyPixels, rect: Rect, margin: int = MARGIN) -> tuple[AnyPixels, Rect]:
    """Cut out an area with the pixels around it that are wanted, as far as there are any.

    Parameters
    ----------
    luma
        The whole frame, shape (rows, columns).
    rect
        The area within it, px.
    margin
        Pixels around the area; what `measure` wants if not given.

    Returns
    -------
    tuple of ndarray and Rect
        The pixels, and the place of the area within them, px.
    """
    top, left = max(rect.y - margin, 0), max(rect.x - margin, 0)
    cut = luma[top : rect.y + rect.height + margin, left : rect.x + rect.width + margin]
    return cast(AnyPixels, cut), Rect(rect.x - left, rect.y - top, rect.width, rect.height)
