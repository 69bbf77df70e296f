"""Which source says where the picture is meant to be sharp: the first that can answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tether.frame import camera_point, fixed, nearest_eye, region_metadata, subject
from tether.frame.answer import Answer
from tether.frame.picture import Picture
from tether.model import Eye, FocusArea, Rect, Source
from tether.settings import Area


@dataclass(frozen=True, slots=True)
class Aim:
    """The focus area, and what every source said that was asked for it, in order."""

    area: FocusArea
    answers: tuple[Answer, ...]
    eyes: tuple[Eye, ...] = ()
    """Where an eye was chosen: that one, and the other where it is seen and lies apart."""


def aim(picture: Picture, area: Area) -> Aim:
    """Find the focus area of a frame.

    Sources are asked in the order of the settings until one answers, a drawn area before them all;
    the frame's centre answers where none does. The area is grown or cut about its centre to the
    sizes the settings allow, and kept in the frame.

    Raises
    ------
    fixed.OutsideFrame
        The fixed area of the settings does not touch this frame.
    """
    answers = []
    for answer in _asked(picture, area):
        answers.append(answer)
        if answer.rect is not None:
            rect = _fit(answer.rect, picture.width, picture.height, area)
            eyes = _apart([_fitted(eye, picture, area) for eye in answer.eyes])
            area_found = FocusArea(rect, answer.source, lost=answer.lost)
            return Aim(area_found, tuple(answers), eyes)
    raise AssertionError("the frame's centre always answers")


def ask_all(picture: Picture, area: Area) -> tuple[Answer, ...]:
    """What each source of the settings says, the ones past the first that answers, too."""
    return tuple(_asked_kindly(source, picture, area) for source in _order(picture, area))


def _asked(picture: Picture, area: Area) -> Iterator[Answer]:
    for source in _order(picture, area):
        yield _ASK[source](picture, area)


def _asked_kindly(source: Source, picture: Picture, area: Area) -> Answer:
    try:
        return _ASK[source](picture, area)
    except fixed.OutsideFrame as problem:
        return Answer(source, None, str(problem))


def _order(picture: Picture, area: Area) -> list[Source]:
    sources = [Source(name) for name in area.sources]
    if picture.anchor is not None and picture.anchor.drawn:
        rest = (source for source in sources if source is not Source.FIXED_AREA)
        sources = [Source.FIXED_AREA, *rest]
    return sources if Source.FRAME_CENTRE in sources else [*sources, Source.FRAME_CENTRE]


def _centre(picture: Picture, area: Area) -> Answer:
    side = area.largest_px
    rect = Rect((picture.width - side) // 2, (picture.height - side) // 2, side, side)
    return Answer(Source.FRAME_CENTRE, rect, "the middle of the frame")


def _nearest_eye(picture: Picture, area: Area) -> Answer:
    # Asked whether or not the settings name it as a source.
    return nearest_eye.ask(picture, camera_point.chosen(picture, area))


_ASK: dict[Source, Callable[[Picture, Area], Answer]] = {
    Source.NEAREST_EYE: _nearest_eye,
    Source.CAMERA_FOCUS_POINT: camera_point.ask,
    Source.SUBJECT_AREA: subject.ask,
    Source.REGION_METADATA: region_metadata.ask,
    Source.FIXED_AREA: fixed.ask,
    Source.FRAME_CENTRE: _centre,
}


def _fitted(eye: Eye, picture: Picture, area: Area) -> Eye:
    return Eye(eye.part, _fit(eye.rect, picture.width, picture.height, area))


def _apart(eyes: list[Eye]) -> tuple[Eye, ...]:
    """The first alone where both squares share pixels: one width would be told of both."""
    if len(eyes) < 2:
        return tuple(eyes)
    one, other = (eye.rect for eye in eyes)
    beside = abs(one.x - other.x) >= max(one.width, other.width)
    below = abs(one.y - other.y) >= max(one.height, other.height)
    return tuple(eyes) if beside or below else (eyes[0],)


def _fit(rect: Rect, width: int, height: int, area: Area) -> Rect:
    x, w = _span(rect.x, rect.width, width, area)
    y, h = _span(rect.y, rect.height, height, area)
    return Rect(x, y, w, h)


def _span(start: int, length: int, frame: int, area: Area) -> tuple[int, int]:
    wanted = min(max(length, area.smallest_px), area.largest_px, frame)
    middle = start + (length - wanted) // 2
    return min(max(middle, 0), frame - wanted), wanted
