"""What a camera says of where it focused: a value, and the few ways to make one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Point:
    """One focus area: its centre and its size, in units of its frame.

    `width` and `height` are 0 where the maker names a point and no size.
    """

    x: float
    y: float
    width: float = 0.0
    height: float = 0.0


@dataclass(frozen=True, slots=True)
class CameraFocus:
    """Where the camera focused, unrotated, from the top left corner.

    The first of `points` is the one to look at; none means that `said` tells why. `frame` is the
    width and height that their numbers are of, None for the pixels of the picture as recorded.
    `square` is whether the frame's units are as wide as they are high. `in_focus` is whether the
    camera confirmed focus there, or only held the points as chosen; None where it does not tell.
    """

    points: tuple[Point, ...]
    frame: tuple[float, float] | None
    said: str
    square: bool = True
    in_focus: bool | None = None


def nothing(why: str) -> CameraFocus:
    """No point, and why, in words."""
    return CameraFocus((), None, why)


MANUAL = nothing("manual focus: the camera names no point")
IN_WORDS = nothing("the maker names the camera's point in words only, not where it lies")
NOT_NAMED = nothing("the camera names no focus point")


def found(
    points: Sequence[Point],
    frame: tuple[float, float] | None,
    *,
    square: bool = True,
    in_focus: bool | None = None,
    primary: Point | None = None,
    on: str = "",
) -> CameraFocus:
    """Points in the order in which they are looked at, with the sentence that says so.

    The maker's primary point comes first; where it names none, the point nearest to the middle of
    them all, which is on the subject more surely than one at the group's edge, while a box around
    all of them would hold background too.

    Parameters
    ----------
    points
        At least one, in the maker's order.
    frame, square, in_focus
        As in `CameraFocus`.
    primary
        The point that the maker names as the one, if it does.
    on
        What the camera says lies there ("a face"), if it does.
    """
    ordered = _ordered(points, primary)
    of = {True: "in focus", False: "chosen", None: "named"}[in_focus]
    if len(ordered) > 1:
        which = "the primary one" if primary in ordered else "the one nearest their middle"
        said = f"the camera's point: of {len(ordered)} {of}, {which}"
    else:
        said = "the camera's point" + (f", {of}" if in_focus is not None else "")
    if on:
        said += f", on {on}"
    if in_focus is False:
        said += "; focus was not confirmed there"
    return CameraFocus(ordered, frame, said, square, in_focus)


def _ordered(points: Sequence[Point], primary: Point | None) -> tuple[Point, ...]:
    if primary in points:
        first = points.index(primary)
    else:
        x = sum(one.x for one in points) / len(points)
        y = sum(one.y for one in points) / len(points)
        first = min(
            range(len(points)), key=lambda n: (points[n].x - x) ** 2 + (points[n].y - y) ** 2
        )
    return (points[first], *points[:first], *points[first + 1 :])
