"""The first source that can answer says where the picture is meant to be sharp."""

from __future__ import annotations

import numpy as np
import pytest

from tether.frame.aim import aim as aimed
from tether.frame.aim import ask_all
from tether.frame.fixed import OutsideFrame
from tether.frame.picture import Picture
from tether.frame.regions import Region, Regions
from tether.frame.tags import Tags
from tether.model import FocusArea, Rect, Source
from tether.settings import Area

FRAME = (6000, 4000)


def area(**changes: object) -> Area:
    return Area.model_validate({"largest_px": 800, **changes})


def picture(tags: Tags, width: int, height: int) -> Picture:
    return Picture(np.broadcast_to(np.uint8(128), (height, width)), tags)


def regions_of(x: float, y: float, side: float) -> Regions:
    return Regions((Region("Focus", x, y, side, 1.5 * side, 0.0, None),), None)


def aim(tags: Tags, width: int, height: int, settings: Area) -> FocusArea:
    return aimed(picture(tags, width, height), settings).area


def test_four_numbers_are_the_centre_then_width_and_height() -> None:
    # Source: CIPA DC-008 SubjectArea: 4500 1000 800 600 runs from 4100, 700 to 4900, 1300.
    found = aim(Tags(subject=(4500, 1000, 800, 600), recorded=FRAME), *FRAME, area())
    assert found.rect == Rect(4100, 700, 800, 600)
    assert found.source is Source.SUBJECT_AREA


def test_three_numbers_are_the_centre_and_a_diameter() -> None:
    found = aim(Tags(subject=(4500, 1000, 300)), *FRAME, area())
    assert found.rect == Rect(4350, 850, 300, 300)


def test_two_numbers_are_a_point_and_the_settings_give_the_size() -> None:
    found = aim(Tags(subject=(4500, 1000)), *FRAME, area(point_px=200))
    assert found.rect == Rect(4400, 900, 200, 200)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_area_is_of_the_stored_picture_whatever_the_orientation(orientation: int) -> None:
    # Source: CIPA DC-008: SubjectArea is given before Orientation is applied.
    told = Tags(subject=(4500, 1000, 300), orientation=orientation)
    assert aim(told, *FRAME, area()).rect == Rect(4350, 850, 300, 300)


def test_a_reduced_copy_has_its_area_scaled() -> None:
    told = Tags(subject=(4500, 1000, 800, 600), recorded=FRAME)
    assert aim(told, 3000, 2000, area()).rect == Rect(2050, 350, 400, 300)


def test_a_copy_cut_or_turned_since_does_not_trust_its_area() -> None:
    told = Tags(subject=(1500, 1000, 800, 600), recorded=FRAME)
    assert aim(told, 4000, 6000, area()).source is Source.FRAME_CENTRE


@pytest.mark.parametrize("subject", [(6000, 10), (10, 4000), (3000, 2000, 6000, 4000), (5, 5, 0)])
def test_an_area_outside_or_of_half_the_frame_says_nothing(subject: tuple[int, ...]) -> None:
    assert aim(Tags(subject=subject), *FRAME, area()).source is Source.FRAME_CENTRE


def test_a_fixed_area_comes_after_the_cameras_or_before_as_the_settings_say() -> None:
    told = Tags(subject=(4500, 1000, 300))
    after = area(fixed=[100, 100, 200, 200])
    assert aim(told, *FRAME, after).source is Source.SUBJECT_AREA
    before = area(fixed=[100, 100, 200, 200], sources=["fixed area", "subject area"])
    assert aim(told, *FRAME, before).rect == Rect(100, 100, 200, 200)


def test_a_small_area_grows_about_its_centre_and_stays_in_the_frame() -> None:
    found = aim(Tags(subject=(10, 2000, 20, 20)), *FRAME, area(smallest_px=128))
    assert found.rect == Rect(0, 1936, 128, 128)


def test_a_large_area_is_cut_about_its_centre() -> None:
    found = aim(Tags(subject=(3000, 2000, 2217, 1330)), *FRAME, area(largest_px=400))
    assert found.rect == Rect(2800, 1800, 400, 400)


SMALL_EVERYWHERE = [
    (Tags(subject=(3000, 2000, 20, 20)), {}),
    (Tags(regions=regions_of(0.5, 0.5, 0.003)), {}),
    (Tags(), {"fixed": [2990, 1990, 20, 20]}),
]


@pytest.mark.parametrize(("told", "settings"), SMALL_EVERYWHERE)
def test_whoever_names_too_small_an_area_it_grows_about_its_centre(
    told: Tags, settings: dict[str, object]
) -> None:
    assert aim(told, *FRAME, area(smallest_px=128, **settings)).rect == Rect(2936, 1936, 128, 128)


def test_a_frame_smaller_than_the_smallest_area_is_looked_at_whole() -> None:
    found = aim(Tags(regions=regions_of(0.9, 0.9, 0.01)), 100, 90, area(smallest_px=128))
    assert found.rect == Rect(0, 0, 100, 90)


@pytest.mark.parametrize(
    ("x", "y"), [(1.0, 0.5), (-0.01, 0.5), (0.5, 1.0), (1e30, 0.5), (0.5, -1e30)]
)
def test_a_region_outside_the_frame_gives_way_to_the_next_source(x: float, y: float) -> None:
    assert aim(Tags(regions=regions_of(x, y, 0.1)), *FRAME, area()).source is Source.FRAME_CENTRE


def test_the_centre_of_a_small_frame_is_all_of_it() -> None:
    assert aim(Tags(), 120, 90, area()).rect == Rect(0, 0, 120, 90)


def test_a_fixed_area_outside_the_frame_is_an_error_that_names_both() -> None:
    with pytest.raises(OutsideFrame, match=r"7000,100,200,200 lies outside .* 6000 x 4000"):
        aim(Tags(), *FRAME, area(fixed=[7000, 100, 200, 200], sources=["fixed area"]))


def test_a_fixed_area_over_the_edge_is_judged_where_there_is_picture() -> None:
    found = aim(Tags(), *FRAME, area(fixed=[5800, 0, 900, 300], sources=["fixed area"]))
    assert found.rect == Rect(5800, 0, 200, 300)


def test_sources_are_asked_until_one_answers() -> None:
    order = [Source(name) for name in area().sources]
    told = aimed(picture(Tags(subject=(3000, 2000, 300)), *FRAME), area())
    subject = order.index(Source.SUBJECT_AREA)
    assert [a.source for a in told.answers] == order[: subject + 1]
    told = aimed(picture(Tags(), *FRAME), area())
    assert [a.source for a in told.answers] == order
    assert order[-1] is Source.FRAME_CENTRE
    assert all(a.said for a in told.answers)


def test_every_source_can_be_asked() -> None:
    told = ask_all(picture(Tags(subject=(3000, 2000, 300)), *FRAME), area(fixed=[0, 0, 100, 100]))
    answered = {a.source for a in told if a.rect is not None}
    assert answered == {Source.SUBJECT_AREA, Source.FIXED_AREA, Source.FRAME_CENTRE}
    assert [a.source.value for a in told] == area().sources


def test_a_fixed_area_outside_is_told_beside_what_the_others_say() -> None:
    told = ask_all(picture(Tags(), *FRAME), area(fixed=[7000, 0, 100, 100]))
    words = {a.source: a.said for a in told}
    assert "outside the frame" in words[Source.FIXED_AREA]
    assert words[Source.FRAME_CENTRE]
