"""Real cameras' notes say to this program what they say to ExifTool, which decodes them apart."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.pictures import grey, jpeg
from tests.samples import HOW, exiftool, files, folder
from tests.samples.agreement import POINT_PX, Agreement, Compared, compare
from tests.samples.moved import MOVES, Move, made
from tether.model import Rect


@pytest.fixture(scope="module")
def samples() -> Mapping[str, Path]:
    if exiftool.version() is None:
        pytest.skip("ExifTool is not installed (Debian: libimage-exiftool-perl)")
    within = folder()
    if within is None:
        pytest.skip(HOW)
    return {path.name: path for path in files(within)}


@pytest.fixture(scope="module")
def compared(samples: Mapping[str, Path]) -> list[Compared]:
    return compare(list(samples.values()))


def test_every_sample_agrees_within_two_pixels_or_is_known_not_to(
    compared: list[Compared],
) -> None:
    # Source: ExifTool's own decoding of every file, in tests/samples/exiftool.py.
    wrong = [one for one in compared if not one.as_expected]
    assert not wrong, "\n".join(f"{one.path.name}: {one}" for one in wrong)


def test_enough_samples_tell_a_place(compared: list[Compared]) -> None:
    # An empty folder, or a reader that answers nothing, would agree with itself.
    same = [one for one in compared if one.agreement is Agreement.SAME]
    assert len(same) >= 59
    assert {one.make for one in same} >= {"canon", "nikon", "sony", "fujifilm", "panasonic"}


@pytest.mark.parametrize("move", MOVES, ids=lambda move: move.name)
def test_a_moved_point_is_read_where_both_readers_see_it(
    move: Move, samples: Mapping[str, Path], tmp_path: Path
) -> None:
    path = tmp_path / "moved.jpg"
    path.write_bytes(made(move, samples, jpeg(grey(8))))
    (one,) = compare([path])
    assert one.agreement is Agreement.SAME, one
    width, height = one.size
    expected = {
        Rect(
            round(x * width - (w * width or POINT_PX) / 2),
            round(y * height - (h * height or POINT_PX) / 2),
            round(w * width or POINT_PX),
            round(h * height or POINT_PX),
        )
        for x, y, w, h in move.places
    }
    assert {_near(rect, expected) for rect in one.ours} == expected


def _near(rect: Rect, expected: set[Rect]) -> Rect:
    """The expected rectangle a pixel away at most, so that rounding is no difference."""
    for one in expected:
        sides = (rect.x - one.x, rect.y - one.y, rect.width - one.width, rect.height - one.height)
        if max(abs(side) for side in sides) <= 1:
            return one
    return rect


SENTENCES = {
    "Canon_Sigma_18_35_F18_DC_HSM_firmware_1xx.exv": "of 2 in focus, the one nearest",
    "test_issue_981c.exv": "of 6 in focus, the one nearest their middle",
    "TamronSP15-30mmF2.8DiVCUSDA012.exv": "chosen; focus was not confirmed",
    "CanonEF100mmF2.8LMacroISUSM.exv": "manual focus",
    "exiv2-bug1179f.exv": "manual focus",
    "exiv2-bug1014.exv": "by its number only",
    "exiv2-bug1155a.exv": "in words only",
    "exiv2-pr906.exv": "as it does when it knows no point",
    "exiv2-bug1153Ac.exv": "names no focus point",
    "exiv2-pr317.exv": "on a face",
}


@pytest.mark.parametrize("name", SENTENCES)
def test_the_person_is_told_what_the_point_is(name: str, compared: list[Compared]) -> None:
    # Read off ExifTool's AFAreaMode, FocusMode and AFPointsInFocus of the same files.
    (one,) = [one for one in compared if one.path.name == name]
    assert SENTENCES[name] in one.said


@pytest.mark.parametrize("name", ["Canon.HIF", "Canon-R6-pruned.CR3", "Sony.HIF", "CanonRaw.cr2"])
def test_heif_and_raw_are_read_as_jpeg_is(name: str, compared: list[Compared]) -> None:
    # What these four say: manual focus three times, the centre in focus once (ExifTool).
    (one,) = [one for one in compared if one.path.name == name]
    assert one.said == "manual focus: the camera names no point" or one.ours
