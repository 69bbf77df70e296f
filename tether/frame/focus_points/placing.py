"""From the camera's frame to pixels of the picture, and what cannot be: cut, turned, outside."""

from __future__ import annotations

from tether.frame.focus_points.focus import CameraFocus, Point
from tether.model import Rect

# Full-size, reduced and developed pictures of one frame differ by rounding and a few border pixels.
_ALIKE = 0.02
CUT_OR_TURNED = "the picture was cut or turned since the camera wrote its focus point"
OUTSIDE = "the camera's focus point lies outside the picture"


def placed(
    told: CameraFocus,
    picture: tuple[int, int],
    recorded: tuple[int, int] | None,
    point_px: int,
) -> tuple[Rect, ...] | str:
    """Place the camera's points in a picture.

    Parameters
    ----------
    told
        What the camera says; it holds at least one point.
    picture
        Width and height as stored, px.
    recorded
        Width and height that the camera says it recorded, px, if it does.
    point_px
        The side of the square where the maker names a point and no size, px of the picture.

    Returns
    -------
    rectangles in the order of the points, or the sentence that says why there are none
    """
    if recorded is not None and not _alike(recorded, picture):
        return CUT_OR_TURNED
    frame = told.frame or recorded or picture
    if min(frame) <= 0 or (told.square and not _alike(frame, picture)):
        return CUT_OR_TURNED
    # Each axis by itself: a frame's units need not be square.
    across, down = picture[0] / frame[0], picture[1] / frame[1]
    inside = [one for one in told.points if _inside(one, frame)]
    return tuple(_rect(one, across, down, point_px) for one in inside) or OUTSIDE


def _alike(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs((one[0] / one[1]) / (other[0] / other[1]) - 1) < _ALIKE


def _inside(one: Point, frame: tuple[float, float]) -> bool:
    centre = 0 <= one.x < frame[0] and 0 <= one.y < frame[1]
    return centre and one.width <= frame[0] and one.height <= frame[1]


def _rect(one: Point, across: float, down: float, point_px: int) -> Rect:
    sized = one.width > 0 and one.height > 0
    width = one.width * across if sized else point_px
    height = one.height * down if sized else point_px
    return Rect(
        round(one.x * across - width / 2),
        round(one.y * down - height / 2),
        max(round(width), 1),
        max(round(height), 1),
    )
