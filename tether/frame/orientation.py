"""Exif Orientation (CIPA DC-008, tag 0x0112): from stored pixels to the right way up."""

from __future__ import annotations

import numpy as np

from tether.frame.pixels import Luma


def upright(stored: Luma, orientation: int) -> Luma:
    """Turn and mirror a stored array of shape (height, width) as it is to be looked at.

    `orientation` is 1 to 8; the shape is swapped for 5 to 8. No pixel is changed.
    """
    turned: Luma = stored.T if orientation in {5, 6, 7, 8} else stored
    flips = {2: (1,), 3: (0, 1), 4: (0,), 6: (1,), 7: (0, 1), 8: (0,)}.get(orientation, ())
    return np.flip(turned, flips) if flips else turned
