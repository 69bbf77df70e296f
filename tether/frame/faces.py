"""Where the faces of a frame are, and their eyes, noses and mouths."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.view import View, view
from tether.model import Rect

if TYPE_CHECKING:
    from tether.frame.pixels import Luma
    from tether.frame.view import Points

Point = tuple[float, float]

LONG_SIDE = 640
"""Px of the longer side of the small picture that faces are looked for in first."""

_SMALLEST = 24  # px of a face in a small picture
_CLOSER = 1280  # px of the longer side where nobody was found
_QUARTER = 880  # px of the longer side of the copies that are turned by quarters
_SMALLEST_FURTHER = 20  # px of a face in these two
_TILE = 3  # a point's surroundings have a third of the longer side
_QUARTERS, _UPSIDE_DOWN = (6, 8), 3  # orientations
_TILTS = (38.0, -38.0)  # degrees: a face is found up to 25 degrees off what it is looked for at

_MOST = 120  # boxes that one look may take for faces at first, and a further one:
_MOST_FURTHER = 50
_SURE = 0.9  # score of the close look
_SETTLED, _LARGE = 0.99, 0.1  # score, or share of the longer side, past which looking ends
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


def find(luma: Luma, orientation: int, at: Point | None = None) -> tuple[Face, ...]:
    """Find the faces of a frame; never raises for what a picture may show.

    Faces from 4 % of the picture's longer side are looked for the right way up. Where none lies at
    a point that is given, its surroundings are looked through for smaller ones, from 1.3 %. Where
    nobody is found for sure, smaller faces are looked for everywhere, from 1.6 %, and then those
    that are tilted, from 4 %, lie on their side, from 2.3 %, or stand on their head, from 4 %. The
    first look takes some 30 ms of a core, all of them 0.25 s, at most 0.45 s.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), as stored.
    orientation
        Exif Orientation, 1 to 8.
    at
        Px of the stored frame.

    Returns
    -------
    tuple of Face
        The largest first. Those seen from the side are not found.
    """
    if min(luma.shape) < 2:
        return ()
    whole = Rect(0, 0, luma.shape[1], luma.shape[0])
    first = view(luma, whole, LONG_SIDE).turned(orientation)
    found = _in_view(luma, first, _SMALLEST)
    if at is not None and face_at(found, at) is None:
        tile = view(luma, _about(at, whole), LONG_SIDE).turned(orientation)
        found += _apart(_in_view(luma, tile, _SMALLEST), found)
    looks = _further(luma, orientation, whole, first)
    while not _settled(found, luma) and (look := next(looks, None)) is not None:
        found += _apart(_in_view(luma, *look, most=_MOST_FURTHER), found)
    return tuple(sorted(found, key=lambda face: -face.box.width * face.box.height))


def _settled(found: list[Face], luma: Luma) -> bool:
    """Whether one is surely a face: in a picture that lies on its side much may look like one."""
    large = _LARGE * max(luma.shape)
    return any(face.score >= _SETTLED or face.box.width >= large for face in found)


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


def _further(
    luma: Luma, orientation: int, whole: Rect, first: View
) -> Iterator[tuple[View, int, float]]:
    """Where else to look, with the sides of the faces to look for, px."""
    if max(luma.shape) > LONG_SIDE:
        closer = view(luma, whole, _CLOSER).turned(orientation)
        # Larger ones would have been found.
        yield closer, _SMALLEST_FURTHER, 1.5 * _SMALLEST * _CLOSER / LONG_SIDE
    for deg in _TILTS:
        yield first.tilted(deg, max(first.picture.shape)), _SMALLEST, math.inf
    upright = view(luma, whole, _QUARTER).turned(orientation)
    for quarter in _QUARTERS:
        yield upright.turned(quarter), _SMALLEST_FURTHER, math.inf
    yield first.turned(_UPSIDE_DOWN), _SMALLEST, math.inf


def _about(at: Point, whole: Rect) -> Rect:
    """The surroundings of a point within the frame."""
    side = max(whole.width, whole.height) // _TILE
    width, height = min(side, whole.width), min(side, whole.height)
    left = min(max(round(at[0]) - width // 2, 0), whole.width - width)
    top = min(max(round(at[1]) - height // 2, 0), whole.height - height)
    return Rect(left, top, width, height)


def _in_view(
    luma: Luma, seen: View, smallest: int, largest: float = math.inf, most: int = _MOST
) -> list[Face]:
    # OpenCV takes a while to load: only frames whose faces are asked for pay it.
    from tether.frame.cascade import cascade
    from tether.frame.closely import look_closely

    if min(seen.picture.shape) < smallest:
        return []
    boxes, points, _ = cascade(seen.picture, smallest, largest, most)
    found: list[Face] = []
    for box, five in zip(boxes[:_CLOSELY], points[:_CLOSELY], strict=True):
        told = look_closely(luma, seen.placed(five.astype(np.float64)))
        if told is None or told[1] < _SURE:
            continue
        x, y = box[[0, 2, 2, 0]], box[[1, 1, 3, 3]]
        rect = _within(seen.placed(np.stack([x, y], axis=1).astype(np.float64)), luma)
        if rect is not None:
            # What the picture shows on the left is the subject's right.
            right_eye, left_eye, nose, right, left = ((float(x), float(y)) for x, y in told[0])
            face = Face(rect, right_eye, left_eye, nose, right, left, told[1])
            found += _apart([face], found)
    return found


def _apart(more: list[Face], known: list[Face]) -> list[Face]:
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
