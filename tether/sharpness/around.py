"""What the rest of a frame says about a soft area in it: where it is sharpest, and what moved."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from tether.model import Around, EdgeWidth, Measurement, Motion, Rect
from tether.sharpness.cut import Pixels, with_margin
from tether.sharpness.frame_map import CELL, frame_map
from tether.sharpness.measure import measure
from tether.sharpness.places import likely_sharpest, spread
from tether.sharpness.tone import ToneCurve

SAME_WAY = 25.0
"""Degrees by which the angle of one movement may differ from place to place."""

ALIKE = 1.2
"""Times that the widest direction's width is the narrowest's at most where a blur is even."""

_Moving = tuple[Motion, EdgeWidth, EdgeWidth]


def look_around(
    luma: Pixels,
    area: Rect,
    measured: Measurement,
    curve: ToneCurve = ToneCurve.SRGB,
    go_on: Callable[[], bool] = lambda: True,
) -> Around | None:
    """Find where a frame is sharpest, and in how many places it moved as a soft area did.

    Parameters
    ----------
    luma
        The whole frame, coded values, uint8 or uint16, shape (rows, columns).
    area
        The area, px.
    measured
        What was measured there.
    curve
        How the values code light.
    go_on
        Asked every 10 ms or so whether to go on.

    Returns
    -------
    Around or None
        None if it was told not to go on. The same frame gives the same answer.
    """
    if min(luma.shape) < CELL:
        return Around()
    if not go_on():
        return None
    found = frame_map(luma)
    likely = likely_sharpest(found, luma.shape, [area])
    places: list[tuple[Rect, Measurement]] = []
    for tile in (*likely, *spread(found, luma.shape, [area, *likely])):
        if not go_on():
            return None
        places.append((tile, measure(*with_margin(luma, tile), curve)))
    moved, still = movement(measured, [one for _, one in places])
    looked = sum(one.widest is not None for _, one in places)
    return Around(sharpest(measured, places), moved, still, looked)


def sharpest(
    area: Measurement, places: Sequence[tuple[Rect, Measurement]]
) -> tuple[Rect, EdgeWidth] | None:
    """Find the place with the narrowest edges in its widest direction.

    None if they are not surely narrower than the area's, their interval wholly below its. Of
    two places alike the surer one is taken: the upper ends of their intervals are compared.

    Parameters
    ----------
    area
        What was measured in the area.
    places
        Places elsewhere in the frame, and what was measured there.
    """
    seen = [(rect, found.widest) for rect, found in places if found.widest is not None]
    if area.widest is None or not seen:
        return None
    best = min(seen, key=lambda one: one[1].hi)
    return best if best[1].hi < area.widest.lo else None


def movement(area: Measurement, places: Sequence[Measurement]) -> tuple[int, int]:
    """Count the places that moved as an area did, and those that kept still.

    A place moved likewise if its movement has the area's angle and, as far as the intervals tell,
    its length. It kept still if it shows no movement, nothing limits what was measured, and its
    edges are surely narrower, in the widest direction, than the movement is long; or, out of focus,
    if they are alike all round and surely narrower than the movement would have made them, whose
    square adds to that of the blur.

    Where the area shows no movement of its own, the one that most places have in common stands
    for it: edges all over a frame tell what those of one area do not.

    Parameters
    ----------
    area
        What was measured in the area.
    places
        What was measured elsewhere in the frame.
    """
    moving = [one for one in map(_moving, places) if one is not None]
    own = _moving(area)
    if own is None:
        if not moving:
            return 0, 0
        own = max(moving, key=lambda one: _like(one, moving))
    return _like(own, moving), sum(_kept_still(place, own) for place in places)


def _kept_still(place: Measurement, own: _Moving) -> bool:
    if place.motion or place.note or place.widest is None or place.narrowest is None:
        return False
    _, widest, narrowest = own
    length = math.sqrt(max(widest.px**2 - narrowest.px**2, 0.0))
    shortest = length * widest.lo / widest.px
    if place.widest.hi < shortest:
        return True
    if place.widest.px > ALIKE * place.narrowest.px:
        return False
    due = math.hypot(place.narrowest.px, length)
    # The errors are independent; what the movement is unsure by counts as it enters what is due.
    unsure = math.hypot(
        math.log(place.widest.hi / place.widest.px),
        math.log(length / shortest) * (length / due) ** 2 if length else 0.0,
    )
    return math.log(due / place.widest.px) > unsure


def _moving(found: Measurement) -> _Moving | None:
    if found.motion is None or found.widest is None or found.narrowest is None:
        return None
    return found.motion, found.widest, found.narrowest


def _like(own: _Moving, moving: Sequence[_Moving]) -> int:
    """How many of these movements are this one."""
    return sum(
        abs((motion.angle_deg - own[0].angle_deg + 90) % 180 - 90) <= SAME_WAY
        and width.lo <= own[1].hi
        and own[1].lo <= width.hi
        for motion, width, _ in moving
    )
