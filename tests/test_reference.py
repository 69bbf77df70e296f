"""A reference is compared where it shows the same thing: at the same place, or where that went."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.pictures import jpeg, write
from tests.sitters import backdrop, grained, put, sitters
from tether.frame import file, nearest_eye
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Eye, FocusArea, Measurement, Part, Rect, Source
from tether.reference import NO_WIDTH, Reference, read
from tether.sharpness.curve import ToneCurve
from tether.sharpness.measure import measure
from tether.sharpness.relative import NOT_THE_SAME, Comparison

U8 = NDArray[np.uint8]
FRAME = (1200, 1800)
EYES_PX = 140.0
AT = (300, 60)


def sitting(right: int = 0, down: int = 0, blur: float = 0.0, seed: int = 1) -> U8:
    """A sitter before a wall, so many px from where she sat first."""
    frame = backdrop("brick", FRAME).copy()
    sitter = sitters()[0].sized(EYES_PX)
    put(frame, sitter.blurred(blur) if blur else sitter, AT[0] + right, AT[1] + down)
    return grained(frame, 0.004, np.random.default_rng(seed))


def seen(frame: U8) -> tuple[FocusArea, tuple[Eye, ...]]:
    """Where the frame is judged, as the nearest eye is found in it."""
    answer = nearest_eye.ask(Picture(frame, Tags()), None)
    assert answer.eyes
    return FocusArea(answer.eyes[0].rect, Source.NEAREST_EYE), answer.eyes


def reference(frame: U8) -> Reference:
    area, eyes = seen(frame)
    return Reference(frame, ToneCurve.SRGB, "maker-1", 1, area, eyes)


def against(one: Reference, frame: U8) -> Comparison:
    return one.against(frame, ToneCurve.SRGB, *seen(frame))


@pytest.mark.parametrize(("right", "down"), [(0, 0), (20, -10), (260, 0), (-180, 120)])
def test_an_eye_is_compared_with_itself_wherever_the_sitter_moves(right: int, down: int) -> None:
    found = against(reference(sitting()), sitting(right, down, seed=2))
    assert found.reason == ""
    assert found.ratio == pytest.approx(1, abs=0.05)


def test_an_eye_out_of_focus_is_told_though_the_sitter_moved() -> None:
    sharp, soft = sitting(), sitting(260, 40, blur=6.0, seed=2)
    found = against(reference(sharp), soft)
    assert found.ratio_95 is not None and found.ratio_95[0] > 1.25


def test_another_eye_is_not_what_an_eye_is_compared_with() -> None:
    area, eyes = seen(sitting())
    left = tuple(eye for eye in eyes if eye.part is Part.LEFT_EYE)
    one = Reference(sitting(), ToneCurve.SRGB, "maker-1", 1, area, left)
    moved = sitting(260)
    there, found = seen(moved)
    right = tuple(eye for eye in found if eye.part is Part.RIGHT_EYE)
    asked = FocusArea(right[0].rect, there.source)
    assert one.against(moved, ToneCurve.SRGB, asked, right).reason == NOT_THE_SAME


def test_areas_of_two_kinds_are_compared_at_the_same_place_alone() -> None:
    area, _ = seen(sitting())
    elsewhere = FocusArea(area.rect, Source.FRAME_CENTRE)
    one = Reference(sitting(), ToneCurve.SRGB, "maker-1", 1, elsewhere)
    there, _ = seen(sitting(260))
    asked = FocusArea(there.rect, Source.CAMERA_FOCUS_POINT)
    assert one.against(sitting(260), ToneCurve.SRGB, asked).ratio is None
    same = Reference(sitting(), ToneCurve.SRGB, "maker-1", 1, FocusArea(area.rect, asked.source))
    assert same.against(sitting(260), ToneCurve.SRGB, asked).ratio == pytest.approx(1, abs=0.05)


def test_an_eye_at_the_rim_has_less_about_it_on_one_side() -> None:
    moved = sitting(-AT[0] - 60, 10)
    found = against(reference(sitting()), moved)
    assert found.reason == "" or found.ratio is None  # never an error
    area = FocusArea(Rect(0, 0, 128, 128), Source.CAMERA_FOCUS_POINT)
    pointed = FocusArea(seen(sitting())[0].rect, area.source)
    one = Reference(sitting(), ToneCurve.SRGB, "maker-1", 1, pointed)
    assert one.against(moved, ToneCurve.SRGB, area).ratio is None


def test_the_reference_is_measured_once_an_area(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Rect] = []

    def measured(pixels: U8, inner: Rect, curve: ToneCurve) -> Measurement:
        asked.append(inner)
        return measure(pixels, inner, curve)

    monkeypatch.setattr("tether.reference.measure", measured)
    one = reference(sitting())
    assert one.area is not None
    for seed in range(3):
        assert one.against(sitting(seed=seed), ToneCurve.SRGB, one.area).ratio is not None
    assert len(asked) == 1


def test_a_file_is_read_with_its_name(tmp_path: Path) -> None:
    found = read(write(tmp_path / "bowl-3.jpg", jpeg(sitting())))
    assert (found.frame, found.number, found.luma.shape) == ("bowl-3", None, FRAME)
    with pytest.raises(file.Unreadable):
        read(tmp_path / "none.jpg")


def test_an_unknown_width_is_none() -> None:
    flat = np.full(FRAME, 128, np.uint8)
    one = Reference(flat, ToneCurve.SRGB)
    area = FocusArea(Rect(600, 300, 200, 200), Source.FIXED_AREA)
    assert one.against(sitting(), ToneCurve.SRGB, area).reason == NO_WIDTH
