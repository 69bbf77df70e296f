"""Which way bars lie in a picture, and a band across them, turned so that they stand upright."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.frame.pixels import Luma
from tether.frame.small_copies import eight_bits
from tether.model import Rect

if TYPE_CHECKING:
    from tether.frame.view import Small

Affine = NDArray[np.float64]

_ROWS = 24  # of a band
_READ = 12  # of them that are read, where most bars are
_LONGEST = 1600  # px of a band
_STILL = 0.25  # of the change in the midst of bars, below which they have come to an end
_PAPER = 0.05  # of the bars' length, added at either end
_ALIKE = 0.6  # of the change along rows that is left in their mean; 350 bar codes had 0.69 and more
_MEANS, _FINER = 4, 3


def across(part: Small) -> tuple[float, float]:
    """The angle, degrees counter-clockwise in (-90, 90], that most change goes along, and how much.

    The share is the coherence of the structure tensor: 1 for bars, 0 where all directions are
    alike (Bigün and Granlund, 1987).
    """
    import cv2

    x, y = cv2.spatialGradient(cv2.blur(part, (3, 3)))
    xx, yy = cv2.norm(x, cv2.NORM_L2SQR), cv2.norm(y, cv2.NORM_L2SQR)
    if xx + yy <= 0:
        return 0.0, 0.0
    twice_xy = xx + yy - cv2.norm(x, y, cv2.NORM_L2SQR)
    # Rows count downwards.
    angle = -math.degrees(math.atan2(twice_xy, xx - yy)) / 2
    return angle, math.hypot(xx - yy, twice_xy) / (xx + yy)


def band(
    luma: Luma, middle: tuple[float, float], angle: float, long: float, tall: float
) -> tuple[Small, Affine]:
    """A band of a frame with `angle` along its rows, and the way back.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns).
    middle
        Of the band, x and y, px of the frame.
    angle
        Degrees counter-clockwise.
    long, tall
        Its size, px of the frame. What lies outside the frame repeats its edge.

    Returns
    -------
    tuple
        The band, 8 bit, and the affine map, shape (2, 3), that takes its points to those of the
        frame.
    """
    import cv2

    wide = max(min(round(long), _LONGEST), 4)
    turn = math.radians(angle)
    cos, sin = math.cos(turn), math.sin(turn)
    back = np.array([[cos, sin, 0.0], [-sin, cos, 0.0]])
    reach = np.abs(back[:, :2]) @ [long / 2, tall / 2] + 2
    back[:, :2] *= [long / wide, tall / _ROWS]
    back[:, 2] = middle - back[:, :2] @ [wide / 2, _ROWS / 2]
    # A part alone: of a frame that is turned in memory OpenCV would copy all.
    sides = luma.shape[::-1]
    left, top = np.clip(np.array(middle) - reach, 0, np.array(sides) - 1).astype(int).tolist()
    right, bottom = np.clip(np.array(middle) + reach, 1, sides).astype(int).tolist()
    there = back.copy()
    there[:, 2] -= [left, top]
    turned = cv2.warpAffine(
        luma[top:bottom, left:right],
        there,
        (wide, _ROWS),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    strip: Luma = np.asarray(turned)
    return eight_bits(strip, "band"), back


def bars_of(strip: Small, gap: int) -> Rect | None:
    """Where in a band its bars are, with some of the paper beside them.

    What lies farther out would tell the reader a wrong level between light and dark.

    Parameters
    ----------
    strip
        A band, shape (rows, columns).
    gap
        Px that may lie between two bars.

    Returns
    -------
    Rect or None
        None where its rows differ: grass leans one way too, but is no bars.
    """
    import cv2

    change = cv2.absdiff(strip[:, 1:], strip[:, :-1])
    by_row = cv2.reduce(change, 1, cv2.REDUCE_SUM, dtype=cv2.CV_32F)[:, 0]
    top = int(np.convolve(by_row, np.ones(_READ), "valid").argmax())
    mean = cv2.reduce(strip[top : top + _READ], 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)
    along = cv2.absdiff(mean[:, 1:], mean[:, :-1])
    lively = cv2.blur(along, (2 * (gap // 2) + 1, 1), borderType=cv2.BORDER_CONSTANT)[0]
    quarter = lively.size // 4
    peak = quarter + int(lively[quarter : lively.size - quarter].argmax())
    still = np.flatnonzero(lively < _STILL * lively[peak])
    after = int(still.searchsorted(peak))
    left = int(still[after - 1]) if after else 0
    right = int(still[after]) if after < still.size else lively.size
    each = float(change[top : top + _READ, left:right].sum()) / _READ
    if float(along[:, left:right].sum()) < _ALIKE * each:
        return None
    room = round(_PAPER * (right - left))
    left, right = max(left - room, 0), min(right + room, lively.size)
    return Rect(left, top, right - left, _READ)


def evened(bars: Small) -> tuple[Small, NDArray[np.float64]]:
    """Bars in fewer rows, each the mean of some, and finer along them: less noise, and wider bars.

    Returns
    -------
    tuple
        The picture, and how many of its px go to one, in x and in y.
    """
    import cv2

    means = cv2.resize(bars, (bars.shape[1], _MEANS), interpolation=cv2.INTER_AREA)
    fine = cv2.resize(means, None, fx=_FINER, fy=1, interpolation=cv2.INTER_CUBIC)
    return np.asarray(fine, np.uint8), np.array([_FINER, _MEANS / bars.shape[0]])
