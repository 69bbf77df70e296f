"""Which way bars lie in a picture, and the picture turned so that they stand upright."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from tether.frame.view import Small

ALIGNED = 0.5
"""The share of all change that goes one way, past which a picture is one of bars."""


def across(part: Small) -> tuple[float, float]:
    """The angle, degrees counter-clockwise in (-90, 90], that most change goes along, and how much.

    The share is the coherence of the structure tensor: 1 for bars, 0 where all directions are
    alike (Bigün and Granlund, 1987).
    """
    import cv2

    soft = cv2.GaussianBlur(part, (0, 0), 1.0)
    x, y = (cv2.Sobel(soft, cv2.CV_32F, *order, ksize=3) for order in ((1, 0), (0, 1)))
    xx, yy, xy = float((x * x).sum()), float((y * y).sum()), float((x * y).sum())
    if xx + yy <= 0:
        return 0.0, 0.0
    share = math.hypot(xx - yy, 2 * xy) / (xx + yy)
    # Rows count downwards.
    return -math.degrees(math.atan2(2 * xy, xx - yy)) / 2, share


def straightened(
    part: Small, middle: NDArray[np.float64], angle: float, wide: int, high: int
) -> tuple[Small, NDArray[np.float64]]:
    """The part turned so that `angle` lies along its rows, about `middle`, and the way back.

    What lies outside the part repeats its edge.
    """
    import cv2

    turn = math.radians(angle)
    back = np.array([[math.cos(turn), math.sin(turn), 0.0], [-math.sin(turn), math.cos(turn), 0.0]])
    back[:, 2] = middle - back[:, :2] @ np.array([wide / 2, high / 2])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    turned = cv2.warpAffine(part, back, (wide, high), flags=flags, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(turned, np.uint8), back
