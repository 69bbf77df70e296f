"""Where the faces of a frame are, and their eyes, noses and mouths."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.orientation import stored, upright
from tether.model import Rect

if TYPE_CHECKING:
    from tether.frame.cascade import Floats, Small
    from tether.frame.pixels import Luma

Point = tuple[float, float]

LONG_SIDE = 640
"""Px of the longer side of the small picture that faces are looked for in."""

_SURE = 0.9
# Rows and columns may be passed over as long as this many px remain for each that is wanted.
_SPARE = 2
_DARKEST, _BRIGHTEST = 0.5, 99.5  # percent of the pixels beyond which the small picture is clipped


@dataclass(frozen=True, slots=True)
class Face:
    """A face in px of the full-size unrotated image, in which a pixel's middle lies at half px.

    `right_eye` is the subject's own, and so is the right corner of the mouth. `score` is from 0.9
    to 1.
    """

    box: Rect
    right_eye: Point
    left_eye: Point
    nose: Point
    mouth_right: Point
    mouth_left: Point
    score: float

    @property
    def eye_distance(self) -> float:
        """Px from eye to eye as the picture shows them: closer together when the head is turned."""
        return math.dist(self.right_eye, self.left_eye)


def find(luma: Luma, orientation: int) -> tuple[Face, ...]:
    """Find the faces of a frame; never raises for what a picture may show.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), as stored.
    orientation
        Exif Orientation, 1 to 8: faces are found the right way up only.

    Returns
    -------
    tuple of Face
        The largest first. Faces under 4 % of the picture's longer side are not found, nor are
        those seen from the side.
    """
    # OpenCV takes a while to load: only frames whose faces are asked for pay it.
    from tether.frame.cascade import SMALLEST, cascade

    small = _small(luma)
    if min(small.shape) < SMALLEST:
        return ()
    boxes, points, scores = cascade(np.ascontiguousarray(upright(small, orientation)))
    height, width = luma.shape
    scale = np.array([width, height]) / np.array([small.shape[1], small.shape[0]])

    def placed(xy: Floats) -> list[Point]:
        shown = stored(xy.astype(np.float64), orientation, small.shape[1], small.shape[0])
        return [(float(x), float(y)) for x, y in shown * scale]

    found = []
    for box, five, score in zip(boxes, points, scores, strict=True):
        corners = placed(box.reshape(2, 2))
        rect = _within(corners, width, height)
        if score >= _SURE and rect is not None:
            # What the picture shows on the left is the subject's right.
            right_eye, left_eye, nose, mouth_right, mouth_left = placed(five)
            found.append(
                Face(rect, right_eye, left_eye, nose, mouth_right, mouth_left, float(score))
            )
    return tuple(sorted(found, key=lambda face: -face.box.width * face.box.height))


def _small(luma: Luma) -> Small:
    """The picture at `LONG_SIDE`, 8 bit, its tones spread so that a dark face is seen too."""
    import cv2

    if 0 in luma.shape:
        return np.zeros((0, 0), np.uint8)
    longest = max(luma.shape)
    step = max(longest // (_SPARE * LONG_SIDE), 1)
    some = np.ascontiguousarray(luma[::step, ::step])
    scale = min(LONG_SIDE / longest, 1.0)
    size = [max(round(side * scale), 1) for side in luma.shape]
    reduced = cv2.resize(some, (size[1], size[0]), interpolation=cv2.INTER_AREA)
    low, high = np.percentile(reduced, (_DARKEST, _BRIGHTEST))
    spread = (reduced.astype(np.float32) - low) * (255 / max(high - low, 1))
    return np.asarray(np.clip(spread, 0, 255), np.uint8)


def _within(corners: list[Point], width: int, height: int) -> Rect | None:
    """The rectangle of two opposite corners, cut at the frame; None where nothing is left."""
    (x1, y1), (x2, y2) = corners
    left, right = (min(max(round(x), 0), width) for x in sorted((x1, x2)))
    top, bottom = (min(max(round(y), 0), height) for y in sorted((y1, y2)))
    if right <= left or bottom <= top:
        return None
    return Rect(left, top, right - left, bottom - top)
