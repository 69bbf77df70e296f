"""Which source says where the picture is meant to be sharp: the first that can answer."""

from __future__ import annotations

from tether.frame.tags import Tags
from tether.model import FocusArea, Rect, Source
from tether.settings import Area


class OutsideFrame(Exception):
    """A fixed area that no pixel of the frame lies in."""


def aim(tags: Tags, width: int, height: int, area: Area) -> FocusArea:
    """Find the focus area of a frame of `width` x `height` px, unrotated.

    It is grown or cut about its centre to the sizes the settings allow, and kept in the frame.

    Raises
    ------
    OutsideFrame
        The fixed area of the settings does not touch this frame.
    """
    for name in area.sources:
        source = Source(name)
        found = _ask(source, tags, width, height, area)
        if found is not None:
            return FocusArea(_fit(found, width, height, area), source)
    return FocusArea(_fit(_centre(width, height, area), width, height, area), Source.FRAME_CENTRE)


def _ask(source: Source, tags: Tags, width: int, height: int, area: Area) -> Rect | None:
    if source is Source.SUBJECT_AREA:
        return _subject(tags, width, height, area.point_px)
    if source is Source.FIXED_AREA:
        return _fixed(area.fixed, width, height)
    return _centre(width, height, area)


def _subject(tags: Tags, width: int, height: int, point_px: int) -> Rect | None:
    """Exif SubjectArea (CIPA DC-008): centre, then diameter, or width and height; unrotated px."""
    if tags.subject is None:
        return None
    across, down = 1.0, 1.0
    if tags.recorded is not None:
        across, down = width / tags.recorded[0], height / tags.recorded[1]
        # Cut or turned since it was recorded: the numbers point somewhere else now.
        if not 0.98 < across / down < 1.02:
            return None
    x, y = tags.subject[0] * across, tags.subject[1] * down
    sides = tags.subject[2:] or (point_px / across,)
    w, h = sides[0] * across, sides[-1] * down
    inside = 0 <= x < width and 0 <= y < height and w >= 1 and h >= 1
    # Some cameras name half the frame or all of it when nothing was chosen.
    if not inside or w > width / 2:
        return None
    return Rect(round(x - w / 2), round(y - h / 2), round(w), round(h))


def _fixed(fixed: list[int] | None, width: int, height: int) -> Rect | None:
    if fixed is None:
        return None
    rect = Rect(*fixed)
    if rect.x >= width or rect.y >= height:
        raise OutsideFrame(
            f"the fixed area {rect.x},{rect.y},{rect.width},{rect.height} lies outside "
            f"the frame of {width} x {height} px"
        )
    return Rect(rect.x, rect.y, min(rect.width, width - rect.x), min(rect.height, height - rect.y))


def _centre(width: int, height: int, area: Area) -> Rect:
    side = area.largest_px
    return Rect((width - side) // 2, (height - side) // 2, side, side)


def _fit(rect: Rect, width: int, height: int, area: Area) -> Rect:
    x, w = _span(rect.x, rect.width, width, area)
    y, h = _span(rect.y, rect.height, height, area)
    return Rect(x, y, w, h)


def _span(start: int, length: int, frame: int, area: Area) -> tuple[int, int]:
    wanted = min(max(length, area.smallest_px), area.largest_px, frame)
    middle = start + (length - wanted) // 2
    return min(max(middle, 0), frame - wanted), wanted
