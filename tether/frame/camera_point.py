"""Where the camera focused, by its maker notes, as a source of the focus area."""

from __future__ import annotations

from tether.frame import subject
from tether.frame.answer import Answer
from tether.frame.focus_points.placing import placed
from tether.frame.picture import Picture
from tether.model import Rect, Source
from tether.settings import Area

_NONE = "the file names no focus point of a camera"


def ask(picture: Picture, area: Area) -> Answer:
    """Say where the camera's first focus point lies, with the others beside it; unrotated px."""
    told = picture.tags.focus
    if told is None:
        return Answer(Source.CAMERA_FOCUS_POINT, None, _NONE)
    if not told.points:
        return Answer(Source.CAMERA_FOCUS_POINT, None, told.said)
    size = picture.width, picture.height
    rects = placed(told, size, picture.tags.recorded, area.point_px)
    if isinstance(rects, str):
        return Answer(Source.CAMERA_FOCUS_POINT, None, rects)
    return Answer(Source.CAMERA_FOCUS_POINT, rects[0], told.said, others=rects[1:])


def chosen(picture: Picture, area: Area) -> Rect | None:
    """Where the camera's focus point lies, else Exif's subject area: what chooses among faces."""
    return ask(picture, area).rect or subject.ask(picture, area).rect
