"""A rectangle of the photographer's own as a source of the focus area."""

from __future__ import annotations

from collections.abc import Sequence

from tether.frame.anchor import Anchor, lay
from tether.frame.answer import Answer
from tether.frame.follow import follow
from tether.frame.picture import Picture
from tether.model import FocusArea, Rect, Source
from tether.settings import Area

_SAME_SHAPE = 0.02  # of the sides' ratio


class OutsideFrame(Exception):
    """A fixed area that no pixel of the frame lies in."""


def ask(picture: Picture, area: Area) -> Answer:
    """Say where the fixed area lies in this frame: the drawn one, else that of the settings.

    One that was laid over an earlier frame follows a small move of the camera since.

    Raises
    ------
    OutsideFrame
        It does not touch this frame.
    """
    anchor = picture.anchor
    if anchor is not None:
        return _followed(picture, anchor)
    if area.fixed is None:
        return Answer(Source.FIXED_AREA, None, "none is set")
    size = picture.width, picture.height
    said = "set in the settings or on the command line"
    return Answer(Source.FIXED_AREA, within(placed(area.fixed, *size), *size), said)


def placed(numbers: Sequence[int | float], width: int, height: int) -> Rect:
    """Return an area of the settings, px or fractions of the frame, in px of a frame."""
    if all(isinstance(number, int) for number in numbers):
        return Rect(*(int(number) for number in numbers))
    x, y, wide, high = numbers
    left, top = min(round(x * width), width - 1), min(round(y * height), height - 1)
    return Rect(left, top, max(round(wide * width), 1), max(round(high * height), 1))


def laid_over(picture: Picture, area: Area, judged: FocusArea | None, name: str) -> Anchor | None:
    """Lay the settings' fixed area over a frame that was judged there, for later ones to follow."""
    if area.fixed is None or judged is None or judged.source is not Source.FIXED_AREA:
        return None
    rect = placed(area.fixed, picture.width, picture.height)
    return lay(picture.luma, rect, name, drawn=False)


def within(rect: Rect, width: int, height: int) -> Rect:
    """Cut off what lies outside a frame of this size, px.

    Raises
    ------
    OutsideFrame
        All of it does.
    """
    left, top = max(rect.x, 0), max(rect.y, 0)
    wide = min(rect.x + rect.width, width) - left
    high = min(rect.y + rect.height, height) - top
    if min(wide, high) < 1:
        raise OutsideFrame(
            f"the fixed area {rect.x},{rect.y},{rect.width},{rect.height} lies outside "
            f"the frame of {width} x {height} px"
        )
    return Rect(left, top, wide, high)


def _followed(picture: Picture, anchor: Anchor) -> Answer:
    size = picture.width, picture.height
    laid = f"{'drawn' if anchor.drawn else 'set, and laid'} over {anchor.frame}"
    if size != anchor.size:
        return _of_another_size(picture, anchor, laid)
    rect = within(anchor.rect, *size)
    found = follow(picture.luma, anchor)
    why = ""
    if found.farther and found.shift is not None:
        moved = max(map(abs, found.shift))
        why = f"the camera moved too far for the fixed area (about {moved} px)"
    elif found.other:
        why = f"the fixed area is lost, this is another picture than {anchor.frame}"
    elif found.shift is not None:
        right, down = found.shift
        moved_rect = Rect(
            anchor.rect.x + right, anchor.rect.y + down, anchor.rect.width, anchor.rect.height
        )
        try:
            rect = within(moved_rect, *size)
        except OutsideFrame:
            why = "the fixed area has moved out of the frame"
        else:
            told = f", moved by {right:+d} {down:+d} px since" if found.shift != (0, 0) else ""
            return Answer(Source.FIXED_AREA, rect, f"{laid}{told}")
    else:
        return Answer(Source.FIXED_AREA, rect, f"{laid}; too little to tell whether it moved")
    return Answer(Source.FIXED_AREA, rect, laid, lost=_lost(why))


def _of_another_size(picture: Picture, anchor: Anchor, laid: str) -> Answer:
    """The same part of a frame that is larger or smaller, not followed."""
    across, down = picture.width / anchor.size[0], picture.height / anchor.size[1]
    r = anchor.rect
    rect = Rect(
        round(r.x * across), round(r.y * down),
        max(round(r.width * across), 1), max(round(r.height * down), 1),
    )  # fmt: skip
    lost = ""
    if abs(across / down - 1) > _SAME_SHAPE:
        lost = _lost(f"the fixed area is lost, {anchor.frame} had another shape")
    return Answer(Source.FIXED_AREA, within(rect, picture.width, picture.height), laid, lost=lost)


def _lost(why: str) -> str:
    return f"{why}: draw it anew; it stays where it was"
