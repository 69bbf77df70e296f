"""Raws and pictures of one exposure are one frame, whatever they are called and whenever."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.pictures import write
from tests.session import oracle
from tests.session.agreeing import agrees, judged
from tests.session.oracle import pictures, raws
from tests.session.running import Begin

SHARP = pictures()[0]
RAW, SOFT_RAW, RAW_2, _ = raws()


def test_raws_of_one_stem_without_a_picture_are_frames_each(folder: Path, watched: Begin) -> None:
    running = watched(oracle.settings())
    for name, content in zip(
        ("IMG_0001.CR3", "IMG_0001.DNG", "img_0001.NEF"), (RAW, SOFT_RAW, RAW_2), strict=True
    ):
        write(folder / name, content)
    agrees(running)


@pytest.mark.parametrize("picture_first", [False, True])
def test_all_raws_of_a_stem_belong_to_its_picture(
    folder: Path, watched: Begin, picture_first: bool
) -> None:
    running = watched(oracle.settings())
    files = [("bowl.dng", RAW), ("bowl.NEF", SOFT_RAW), ("Bowl.jpg", SHARP)]
    for name, content in reversed(files) if picture_first else files:
        write(folder / name, content)
        agrees(running)


def test_a_raw_whose_picture_is_deleted_is_judged(folder: Path, watched: Begin) -> None:
    running = judged(folder, watched, "bowl.jpg", "bowl.dng")
    (folder / "bowl.jpg").unlink()
    agrees(running)


def test_a_raw_whose_picture_is_renamed_is_judged(folder: Path, watched: Begin) -> None:
    running = judged(folder, watched, "bowl.jpg", "bowl.dng")
    (folder / "bowl.jpg").rename(folder / "cup.jpg")
    agrees(running)


@pytest.mark.parametrize("between", [False, True])
@pytest.mark.parametrize("order", [("jpg", "dng"), ("dng", "jpg")])
@pytest.mark.parametrize("to", ["cup", "set one/bowl"])
def test_a_pair_renamed_one_after_the_other_is_one_frame(
    folder: Path, watched: Begin, order: tuple[str, str], between: bool, to: str
) -> None:
    (folder / "set one").mkdir()
    running = judged(folder, watched, "bowl.jpg", "bowl.dng")
    for suffix in order:
        (folder / f"bowl.{suffix}").rename(folder / f"{to}.{suffix}")
        if between:
            agrees(running)
    agrees(running)
