"""Small pictures of a frame or a part of it, and the way from them back to the frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.frame.orientation import stored, upright
from tether.frame.pixels import Luma
from tether.model import Rect

Small = NDArray[np.uint8]
Points = NDArray[np.float64]

# Rows and columns may be passed over as long as this many px remain for each that is wanted.
_SPARE = 2
_DARKEST, _BRIGHTEST = 0.1, 99.9  # percent of the pixels beyond which a small picture is clipped


@dataclass(frozen=True, slots=True)
class View:
    """A small picture, 8 bit, and the affine map from its points to those of the stored frame.

    `back` has shape (2, 3). Points are px from the top-left corner; a pixel's middle lies at half
    px.
    """

    picture: Small
    back: Points

    def placed(self, points: Points) -> Points:
        """Take points of the small picture, x and y in the last axis, to px of the frame."""
        return points @ self.back[:, :2].T + self.back[:, 2]

    def turned(self, orientation: int) -> View:
        """Turn and mirror it as an Exif Orientation asks, 1 to 8."""
        height, width = self.picture.shape
        corners = np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)])
        zero, right, down = self.placed(stored(corners, orientation, width, height))
        back = np.stack([right - zero, down - zero, zero], axis=1)
        return View(np.ascontiguousarray(upright(self.picture, orientation)), back)

    def tilted(self, deg: float, side: int) -> View:
        """Turn it about its middle by `deg` counter-clockwise, onto a square.

        What lies outside the square is cut off, what the square lacks is black.
        """
        height, width = self.picture.shape
        cos, sin = math.cos(math.radians(deg)), math.sin(math.radians(deg))
        there = np.array([[cos, -sin, 0.0], [sin, cos, 0.0]])
        there[:, 2] = np.array([width, height]) / 2 - there[:, :2] @ np.full(2, side / 2)
        return View(warped(self.picture, there, side), joined(self.back, there))


def view(luma: Luma, part: Rect, long_side: int) -> View:
    """Reduce a part of a frame to `long_side` px, its tones spread so that a dark face is seen too.

    The part must lie within the frame. One that is smaller stays as large as it is.
    """
    cut = luma[part.y : part.y + part.height, part.x : part.x + part.width]
    longest = max(part.width, part.height)
    step = max(longest // (_SPARE * long_side), 1)
    some = cut[::step, ::step].copy()
    scale = min(long_side / longest, 1.0)
    wide, high = (max(round(side * scale), 1) for side in (part.width, part.height))
    reduced = smaller(some, wide, high)
    low, bright = np.percentile(reduced[::2, ::2], (_DARKEST, _BRIGHTEST))
    spread = (reduced.astype(np.float32) - low) * (255 / max(bright - low, 1))
    back = np.array([[part.width / wide, 0.0, part.x], [0.0, part.height / high, part.y]])
    return View(np.asarray(np.clip(spread, 0, 255), np.uint8), back)


def smaller(picture: Luma, wide: int, high: int) -> Luma:
    """Reduce a picture to a size, each pixel the mean of those that it stands for.

    Halved first as often as that goes, which OpenCV does ten times as fast as by any other factor.
    Of an odd number of rows or columns the last is left out.
    """
    while min(picture.shape[1] // wide, picture.shape[0] // high) >= 2:
        half = picture.shape[1] // 2, picture.shape[0] // 2
        even = picture[: 2 * half[1], : 2 * half[0]]
        picture = _averaged(even, half)
    return _averaged(picture, (wide, high))


def _averaged(picture: Luma, size: tuple[int, int]) -> Luma:
    import cv2

    reduced: Luma = np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA))
    return reduced


def joined(outer: Points, inner: Points) -> Points:
    """The affine map, shape (2, 3), that goes first through `inner` and then through `outer`."""
    return np.column_stack([outer[:, :2] @ inner[:, :2], outer[:, :2] @ inner[:, 2] + outer[:, 2]])


def warped(picture: Small, there: Points, side: int) -> Small:
    """What a picture shows where `there` takes the points of a square one, black outside it.

    `there` has shape (2, 3) and counts from corners, where OpenCV counts from pixels' middles.
    """
    import cv2

    middles = there.copy()
    middles[:, 2] += middles[:, :2] @ [0.5, 0.5] - 0.5
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(picture, middles, (side, side), flags=flags), np.uint8)
