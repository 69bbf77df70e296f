"""Where the faces of a frame are, and their eyes, noses and mouths."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tether.model import Rect

if TYPE_CHECKING:
    from tether.frame.pixels import Luma
    from tether.frame.view import Points, View

Point = tuple[float, float]

MOST = 120
"""Boxes that one look may take for faces before it looks more closely."""

_SURE = 0.9  # score of the close look
_CLOSELY = 12  # faces of a look that are looked at closely, the likeliest: 3 ms each


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


def face_at(faces: tuple[Face, ...] | list[Face], at: Point) -> Face | None:
    """The face nearest to a point, in shares of the face, among those that it lies on or beside."""
    near = [face for face in faces if away(face, at) <= 1.0]
    return min(near, key=lambda face: away(face, at), default=None)


def away(face: Face, at: Point) -> float:
    """How far a point lies from the middle of a face, in its widths or heights: to 0.5 inside."""
    box = face.box
    across = (at[0] - box.x - box.width / 2) / box.width
    down = (at[1] - box.y - box.height / 2) / box.height
    return max(abs(across), abs(down))


def in_view(
    luma: Luma,
    seen: View,
    smallest: int,
    largest: float = math.inf,
    most: int = MOST,
    between: Callable[[], None] = lambda: None,
) -> list[Face]:
    """Find the faces that stand upright in a small picture of a frame.

    Parameters
    ----------
    luma
        The frame, coded values, uint8 or uint16, shape (rows, columns), as stored.
    seen
        The small picture.
    smallest, largest
        Sides of the faces that are looked for, px of the small picture.
    most
        As `MOST`: bounds the time that a picture full of face-like texture can take.
    between
        Called every 100 ms or so; what it raises ends the look.
    """
    # OpenCV takes a while to load: only frames whose faces are asked for pay it.
    from tether.frame.cascade import cascade
    from tether.frame.closely import look_closely

    if min(seen.picture.shape) < smallest:
        return []
    boxes, points, _ = cascade(seen.picture, smallest, largest, most, between)
    found: list[Face] = []
    for box, five in zip(boxes[:_CLOSELY], points[:_CLOSELY], strict=True):
        between()
        told = look_closely(luma, seen.placed(five.astype(np.float64)))
        if told is None or told[1] < _SURE:
            continue
        x, y = box[[0, 2, 2, 0]], box[[1, 1, 3, 3]]
        rect = _within(seen.placed(np.stack([x, y], axis=1).astype(np.float64)), luma)
        if rect is not None:
            # What the picture shows on the left is the subject's right.
            right_eye, left_eye, nose, right, left = ((float(x), float(y)) for x, y in told[0])
            face = Face(rect, right_eye, left_eye, nose, right, left, told[1])
            found += apart([face], found)
    return found


def apart(more: list[Face], known: list[Face]) -> list[Face]:
    """Those of `more` that are not faces known already."""

    def same(one: Face, other: Face) -> bool:
        return math.dist(one.nose, other.nose) < max(one.eye_distance, other.eye_distance) / 2

    return [one for one in more if not any(same(one, other) for other in known)]


def _within(corners: Points, luma: Luma) -> Rect | None:
    """The rectangle about some points, cut at the frame; None where nothing is left."""
    (left, top), (right, bottom) = (
        np.clip(np.rint(edge), 0, luma.shape[::-1]).astype(int).tolist()
        for edge in (corners.min(axis=0), corners.max(axis=0))
    )
    if right <= left or bottom <= top:
        return None
    return Rect(left, top, right - left, bottom - top)
