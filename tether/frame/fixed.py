"""A rectangle of the photographer's own as a source of the focus area."""

from __future__ import annotations

from tether.frame.answer import Answer
from tether.frame.picture import Picture
from tether.model import Rect, Source
from tether.settings import Area


class OutsideFrame(Exception):
    """A fixed area that no pixel of the frame lies in."""


def ask(picture: Picture, area: Area) -> Answer:
    """Say where the fixed area of the settings lies in this frame.

    Raises
    ------
    OutsideFrame
        It does not touch this frame.
    """
    if area.fixed is None:
        return Answer(Source.FIXED_AREA, None, "none is set")
    rect, width, height = Rect(*area.fixed), picture.width, picture.height
    if rect.x >= width or rect.y >= height:
        raise OutsideFrame(
            f"the fixed area {rect.x},{rect.y},{rect.width},{rect.height} lies outside "
            f"the frame of {width} x {height} px"
        )
    kept = Rect(rect.x, rect.y, min(rect.width, width - rect.x), min(rect.height, height - rect.y))
    return Answer(Source.FIXED_AREA, kept, "set in the settings or on the command line")
