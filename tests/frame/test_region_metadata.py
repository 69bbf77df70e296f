"""Region metadata (MWG) says where to look: whose frame it is of, and which region is meant.

Sources: the Metadata Working Group's guidelines 2.0: centres and sizes are shares of the frame, a
circle's diameter of its shorter side. Where the guidelines and what programs write differ, the rule
is ours and says so.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from tests.frame.xmp import FOCUS_REGION, embedded, region, regions
from tests.pictures import grey, jpeg
from tether.frame import region_metadata, tags
from tether.frame.answer import Answer
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Rect
from tether.settings import Area

FRAME = (4000, 3000)


def ask(xmp: bytes, frame: tuple[int, int] = FRAME, orientation: int = 1, **told: object) -> Answer:
    found = tags.read(embedded(jpeg(grey()), xmp), *frame).regions
    known = Tags(regions=found, orientation=orientation, **told)  # type: ignore[arg-type]
    picture = Picture(np.broadcast_to(np.uint8(128), frame[::-1]), known)
    return region_metadata.ask(picture, Area())


def test_a_region_is_its_centre_and_its_size() -> None:
    # 0.3 of 4000 is 1200, 0.1 is 400; 0.4 of 3000 is 1200, 0.2 is 600.
    answer = ask(FOCUS_REGION)
    assert answer.rect == Rect(1000, 900, 400, 600)
    assert "focus region" in answer.said


def test_a_centre_is_no_corner() -> None:
    # Source: a file with both kinds of regions, in RhetTbull/osxphotos, issue 633: left .276647
    # and top .351098 beside these.
    answer = ask(regions(region("Face", "x=0.336604 y=0.444444 w=0.119913 h=0.186693")))
    assert answer.rect is not None
    assert answer.rect.x == round(0.276647 * 4000)
    assert answer.rect.y == round(0.351098 * 3000)


def test_a_circle_is_measured_by_the_shorter_side() -> None:
    assert ask(regions(region("Focus", "x=0.5 y=0.5 d=0.1"))).rect == Rect(1850, 1350, 300, 300)


def test_a_point_takes_the_settings_size() -> None:
    assert ask(regions(region("Focus", "x=0.5 y=0.5"))).rect == Rect(1840, 1340, 320, 320)


def test_focus_comes_before_faces_and_used_before_the_rest() -> None:
    face = region("Face", "x=0.8 y=0.8 w=0.2 h=0.2")
    silent = region("Focus", "x=0.1 y=0.1 w=0.02 h=0.02")
    used = region("Focus", "x=0.5 y=0.5 w=0.1 h=0.1", "EvaluatedUsed")
    for order in ((face, silent, used), (used, silent, face)):
        assert ask(regions(*order)).rect == Rect(1800, 1350, 400, 300)
    assert ask(regions(face, silent)).rect == Rect(360, 270, 80, 60)


@pytest.mark.parametrize("usage", ["EvaluatedNotUsed", "NotEvaluatedNotUsed"])
def test_a_focus_region_that_was_not_used_says_nothing(usage: str) -> None:
    unused = region("Focus", "x=0.5 y=0.5 w=0.1 h=0.1", usage)
    answer = ask(regions(unused))
    assert answer.rect is None
    assert "none of them was used" in answer.said
    face = region("Face", "x=0.25 y=0.25 w=0.1 h=0.1")
    assert ask(regions(unused, face)).rect == Rect(800, 600, 400, 300)


def test_of_several_faces_the_one_at_the_subject_area_else_the_largest() -> None:
    small = region("Face", "x=0.25 y=0.25 w=0.05 h=0.05")
    large = region("Face", "x=0.75 y=0.75 w=0.1 h=0.1")
    assert ask(regions(small, large)).rect == Rect(2800, 2100, 400, 300)
    near = ask(regions(small, large), subject=(1100, 800, 100), recorded=FRAME)
    assert near.rect == Rect(900, 675, 200, 150)


def test_a_reduced_copy_keeps_its_regions() -> None:
    assert ask(FOCUS_REGION, (2000, 1500)).rect == Rect(500, 450, 200, 300)


@pytest.mark.parametrize(
    ("orientation", "x", "y"),
    # Where 0.3, 0.4 of the picture the right way up is stored, with ExifTool's rotate_regions:
    # 6 is turned by 90° clockwise to be shown: shown (1 - y, x) of stored (x, y).
    [(6, 0.4, 0.7), (8, 0.6, 0.3), (5, 0.4, 0.3), (7, 0.6, 0.7)],
)
def test_regions_of_the_turned_picture_are_turned_back(
    orientation: int, x: float, y: float
) -> None:
    shown = regions(region("Focus", "x=0.3 y=0.4 w=0.1 h=0.05"), size=(3000, 4000))
    answer = ask(shown, FRAME, orientation)
    # 0.1 of 3000 and 0.05 of 4000, sides swapped.
    assert answer.rect == Rect(round(x * 4000) - 100, round(y * 3000) - 150, 200, 300)


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_regions_of_the_stored_picture_stay(orientation: int) -> None:
    # As a real file has it: exiv2's samples of an IXUS 125, Orientation 8.
    assert ask(FOCUS_REGION, FRAME, orientation).rect == Rect(1000, 900, 400, 600)


@pytest.mark.parametrize(("size", "orientation"), [((3000, 4000), 1), ((4000, 4000), 1)])
def test_a_picture_cut_or_turned_since_does_not_trust_them(
    size: tuple[int, int], orientation: int
) -> None:
    answer = ask(regions(region("Focus", "x=0.3 y=0.4 w=0.1 h=0.1"), size=size), FRAME, orientation)
    assert answer.rect is None
    assert "cut or turned" in answer.said


@pytest.mark.parametrize(
    "area",
    ["x=1.2 y=0.5 w=0.1 h=0.1", "x=-0.1 y=0.5 w=0.1 h=0.1", "x=0.5 y=0.5 w=0.9 h=0.9",
     "x=0.5 y=1e300 w=0.1 h=0.1", "x=0.5 y=0.5 w=-0.1 h=0.1"],
)  # fmt: skip
def test_a_region_outside_or_as_large_as_the_frame_says_nothing(area: str) -> None:
    assert ask(regions(region("Focus", area))).rect is None


@pytest.mark.parametrize("area", ["x=nan y=0.5", "x=0.5", "x=left y=0.5", "x=1/0 y=0.5"])
def test_a_region_without_a_place_is_none(area: str) -> None:
    assert ask(regions(region("Focus", area))).said == "no region metadata"


def test_other_regions_and_none_are_told_apart() -> None:
    assert "neither focus nor faces" in ask(regions(region("Pet", "x=0.5 y=0.5"))).said
    assert ask(regions()).said == "no region metadata"


def test_what_another_program_writes_is_read(tmp_path: Path) -> None:
    exiftool = shutil.which("exiftool")
    if exiftool is None:
        pytest.skip("ExifTool is not installed")
    path = tmp_path / "bowl.jpg"
    path.write_bytes(jpeg(grey()))
    told = (
        "{AppliedToDimensions={W=512,H=512,Unit=pixel},RegionList=[{Area={X=0.3,Y=0.4,W=0.1,H=0.2,"
        "Unit=normalized},Type=Focus,FocusUsage=EvaluatedUsed}]}"
    )
    subprocess.run([exiftool, "-q", "-n", f"-RegionInfo={told}", path], check=True)
    read = json.loads(subprocess.check_output([exiftool, "-j", "-RegionAreaX", path]))
    found = tags.read(path.read_bytes(), 512, 512).regions
    assert found is not None
    assert found.every[0].x == read[0]["RegionAreaX"] == 0.3
    assert (found.applied, found.every[0].used) == ((512, 512), True)
