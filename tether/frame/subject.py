"""Exif SubjectArea and SubjectLocation (CIPA DC-008) as a source of the focus area."""

from __future__ import annotations

from tether.frame.answer import Answer
from tether.frame.picture import Picture
from tether.model import Rect, Source
from tether.settings import Area

_NONE = "the file names no subject area"


def ask(picture: Picture, area: Area) -> Answer:
    """Say where the subject area lies: centre, then diameter, or width and height; unrotated px."""
    tags, width, height = picture.tags, picture.width, picture.height
    if tags.subject is None:
        return _nothing(_NONE)
    across, down = 1.0, 1.0
    if tags.recorded is not None:
        across, down = width / tags.recorded[0], height / tags.recorded[1]
        # Cut or turned since it was recorded: the numbers point somewhere else now.
        if not 0.98 < across / down < 1.02:
            return _nothing("the picture was cut or turned since its subject area was written")
    x, y = tags.subject[0] * across, tags.subject[1] * down
    sides = tags.subject[2:] or (area.point_px / across,)
    w, h = sides[0] * across, sides[-1] * down
    if not (0 <= x < width and 0 <= y < height and w >= 1 and h >= 1):
        return _nothing("the subject area lies outside the picture")
    # Some cameras name half the frame or all of it when nothing was chosen.
    if w > width / 2:
        return _nothing("the subject area is more than half the frame: nothing was chosen")
    rect = Rect(round(x - w / 2), round(y - h / 2), round(w), round(h))
    return Answer(Source.SUBJECT_AREA, rect, "Exif names the subject's place")


def _nothing(why: str) -> Answer:
    return Answer(Source.SUBJECT_AREA, None, why)
