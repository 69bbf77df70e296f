"""A rectangle of the photographer's own: px or fractions, set or drawn, and where it lies now."""

from __future__ import annotations

import numpy as np
import pytest

from tests.frame.scene import HEIGHT, LABEL, WIDTH, frame
from tether.frame import fixed
from tether.frame.aim import aim
from tether.frame.anchor import Anchor, lay
from tether.frame.picture import Picture
from tether.frame.pixels import Luma
from tether.frame.tags import Tags
from tether.model import Rect, Source
from tether.settings import Area


@pytest.fixture(scope="module")
def drawn() -> Anchor:
    return lay(frame(), LABEL, "bowl-0001", drawn=True)


@pytest.mark.parametrize(
    ("numbers", "rect"),
    [
        ([2800, 1500, 400, 300], Rect(2800, 1500, 400, 300)),
        ([0.4, 0.35, 0.1, 0.12], Rect(2400, 1400, 600, 480)),
        ([0.0, 0.0, 1.0, 1.0], Rect(0, 0, 6000, 4000)),
        ([0.9999999, 0.9999999, 0.0000001, 0.0000001], Rect(5999, 3999, 1, 1)),
    ],
)
def test_whole_numbers_are_px_and_others_fractions(numbers: list[float], rect: Rect) -> None:
    assert fixed.placed(numbers, 6000, 4000) == rect


def test_a_fraction_is_the_same_part_of_every_size_of_frame() -> None:
    settings = Area.model_validate({"fixed": [0.25, 0.5, 0.1, 0.2], "sources": ["fixed area"]})
    for width, height in ((1440, 960), (2000, 3000)):
        picture = Picture(np.broadcast_to(np.uint8(9), (height, width)), Tags())
        answer = fixed.ask(picture, settings)
        assert answer.rect == Rect(width // 4, height // 2, width // 10, height // 5)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("preset", ["portrait", "product"])
def test_a_drawn_area_comes_before_every_other_source(
    drawn: Anchor, orientation: int, preset: str
) -> None:
    sources = ["nearest eye", "subject area"] if preset == "portrait" else ["subject area"]
    tags = Tags(subject=(300, 300, 200), orientation=orientation)
    picture = Picture(frame(), tags, anchor=drawn)
    area = aim(picture, Area.model_validate({"sources": sources, "fixed": [0, 0, 200, 200]})).area
    assert (area.source, area.rect, area.lost) == (Source.FIXED_AREA, LABEL, "")


def test_an_area_of_the_settings_keeps_its_place_in_their_order() -> None:
    anchor = lay(frame(), LABEL, "bowl-0001", drawn=False)
    picture = Picture(frame(), Tags(subject=(300, 300, 200)), anchor=anchor)
    sources = {"sources": ["subject area", "fixed area"]}
    assert aim(picture, Area.model_validate(sources)).area.source is Source.SUBJECT_AREA


def test_it_lies_where_the_camera_shows_the_place_now(drawn: Anchor) -> None:
    answer = fixed.ask(Picture(frame(40, -25), Tags(), anchor=drawn), Area())
    assert answer.rect is not None
    assert abs(answer.rect.x - LABEL.x - 40) <= 4
    assert abs(answer.rect.y - LABEL.y + 25) <= 4
    assert (answer.rect.width, answer.rect.height) == (LABEL.width, LABEL.height)
    assert "drawn over bowl-0001, moved by +40 -25 px" in answer.said


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        (frame(110), "the camera moved too far for the fixed area (about 110 px): draw it anew"),
        (frame(of="maker"), "the fixed area is lost, this is another picture than bowl-0001"),
        (np.ascontiguousarray(frame().T), "the fixed area is lost, bowl-0001 had another shape"),
    ],
    ids=["too far", "another scene", "another shape"],
)
def test_where_it_cannot_follow_it_says_so(
    drawn: Anchor,
    seen: Luma,
    words: str,
) -> None:
    found = aim(Picture(seen, Tags(), anchor=drawn), Area()).area
    assert words in found.lost
    assert len(found.lost.split(";")[0]) <= 79  # the line of a small terminal


def test_and_stays_where_it_was(drawn: Anchor) -> None:
    assert aim(Picture(frame(110), Tags(), anchor=drawn), Area()).area.rect == LABEL
    flat = np.full((HEIGHT, WIDTH), 80, np.uint8)
    found = aim(Picture(flat, Tags(), anchor=drawn), Area()).area
    assert (found.rect, found.lost) == (LABEL, "")


def test_an_area_that_moved_out_of_the_frame_is_lost() -> None:
    corner = lay(frame(), Rect(0, 0, 40, 40), "bowl-0001", drawn=True)
    answer = fixed.ask(Picture(frame(-60, -20), Tags(), anchor=corner), Area())
    assert "moved out of the frame" in answer.lost
    assert answer.rect == Rect(0, 0, 40, 40)


def test_in_a_frame_of_half_the_size_it_is_the_same_part(drawn: Anchor) -> None:
    answer = fixed.ask(
        Picture(np.ascontiguousarray(frame()[::2, ::2]), Tags(), anchor=drawn), Area()
    )
    assert answer.rect == Rect(LABEL.x // 2, LABEL.y // 2, LABEL.width // 2, LABEL.height // 2)
    assert not answer.lost
