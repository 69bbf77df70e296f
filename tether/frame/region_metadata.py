"""Region metadata (MWG) as a source of the focus area: a focus region, else a face."""

from __future__ import annotations

import numpy as np

from tether.frame import camera_point
from tether.frame.answer import Answer
from tether.frame.orientation import stored
from tether.frame.picture import Picture
from tether.frame.regions import FACE, FOCUS, Region, Regions, same_shape
from tether.model import Rect, Source
from tether.settings import Area

_LARGEST = 0.5  # of the frame's width: then nothing was chosen


def ask(picture: Picture, area: Area) -> Answer:
    """Say where the regions put the focus.

    A region of type Focus that was used comes first, then one that does not say, then a face:
    of several the one nearest to the camera's focus point or the subject area where there is one,
    else the largest, for it is the nearest to the camera.
    """
    told = picture.tags.regions
    if told is None:
        return _nothing("no region metadata")
    good = _placed(told, picture, area)
    if good is None:
        return _nothing("the picture was cut or turned since its regions were written")
    for kind, used in ((FOCUS, True), (FOCUS, None), (FACE, None)):
        rects = [r for one, r in good if one.kind == kind and (one.used is used or kind == FACE)]
        if rects:
            return Answer(Source.REGION_METADATA, _choice(rects, picture, area), _said(told, kind))
    if any(one.kind == FOCUS and one.used is False for one in told.every):
        return _nothing("the focus regions say that none of them was used")
    if any(one.kind in {FOCUS, FACE} for one in told.every):
        return _nothing("the regions lie outside the picture, or fill it")
    return _nothing("the regions are neither focus nor faces")


def faces(picture: Picture, area: Area) -> list[Rect]:
    """Where the regions say that faces are, px of the stored frame, the largest first."""
    told = picture.tags.regions
    placed = _placed(told, picture, area) if told is not None else None
    found = [rect for one, rect in placed or () if one.kind == FACE]
    return sorted(found, key=lambda rect: -rect.width * rect.height)


def _placed(told: Regions, picture: Picture, area: Area) -> list[tuple[Region, Rect]] | None:
    """The regions that lie in the picture; None where it was cut or turned since."""
    turned = _is_turned(told, picture)
    if turned is None:
        return None
    placed = [(one, _rect(one, picture, area, turned=turned)) for one in told.every]
    return [(one, rect) for one, rect in placed if rect is not None]


def _nothing(why: str) -> Answer:
    return Answer(Source.REGION_METADATA, None, why)


def _said(told: Regions, kind: str) -> str:
    what = "a focus region" if kind == FOCUS else "a face"
    return f"{told.sidecar} names {what}" if told.sidecar else f"the file names {what}"


def _is_turned(told: Regions, picture: Picture) -> bool | None:
    """Whether regions are of the picture the right way up rather than as stored; None for neither.

    Writers disagree; the size that they wrote for tells, if the picture lies on its side.
    """
    size = float(picture.width), float(picture.height)
    if told.applied is None or same_shape(told.applied, size):
        return False
    on_its_side = picture.tags.orientation in {5, 6, 7, 8}
    return True if on_its_side and same_shape(told.applied, size[::-1]) else None


def _rect(one: Region, picture: Picture, area: Area, *, turned: bool) -> Rect | None:
    frame = picture.width, picture.height
    shown = frame[::-1] if turned else frame
    size = [one.width * shown[0], one.height * shown[1]]
    if one.diameter > 0:
        size = [one.diameter * min(shown)] * 2
    if not size[0] or not size[1]:
        size = [float(area.point_px)] * 2
    middle = np.array([one.x * shown[0], one.y * shown[1]])
    if turned:
        middle = stored(middle, picture.tags.orientation, *frame)
        size.reverse()
    (x, y), (w, h) = map(float, middle), size
    inside = 0 <= x < frame[0] and 0 <= y < frame[1]
    if not inside or min(w, h) < 1 or w > _LARGEST * frame[0]:
        return None
    return Rect(round(x - w / 2), round(y - h / 2), round(w), round(h))


def _choice(rects: list[Rect], picture: Picture, area: Area) -> Rect:
    point = camera_point.chosen(picture, area)
    if point is None:
        return max(rects, key=lambda rect: rect.width * rect.height)

    def away(rect: Rect) -> float:
        across = rect.x + rect.width / 2 - point.x - point.width / 2
        down = rect.y + rect.height / 2 - point.y - point.height / 2
        return across**2 + down**2

    return min(rects, key=away)
