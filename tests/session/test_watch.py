"""The watch judges every frame once, in whatever way it comes, and loses none."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

from mocks.raw import dng, mosaic
from tests.pictures import grey, jpeg, portrait, write
from tests.session.made import raws, until
from tests.session.running import Begin
from tests.sharpness.pictures import light
from tether.model import Verdict
from tether.session.reader import Reader
from tether.settings import Settings

SHARP = jpeg(portrait())
SOFT = jpeg(portrait(blur_sigma=4))


def test_a_sharp_and_a_soft_frame_are_told_apart(folder: Path, watched: Begin) -> None:
    running = watched()
    write(folder / "maker-0001.jpg", SHARP)
    running.until_told(1)
    write(folder / "maker-0002.jpg", SOFT)
    running.until_told(2)
    assert [one.verdict for one in running.told] == [Verdict.SHARP, Verdict.SOFT]
    assert [row.verdict for row in Reader(folder).rows_since(0)] == ["sharp", "soft"]


def test_a_file_saved_twice_has_the_verdict_of_what_stands_there(
    folder: Path, watched: Begin
) -> None:
    running = watched()
    write(folder / "maker.jpg", SHARP)
    running.until_told(1)
    write(folder / "maker.jpg", SOFT)
    running.until_told(2)
    assert [row.verdict for row in Reader(folder).rows_since(0)] == ["soft"]


def test_a_save_that_changes_nothing_is_no_news(folder: Path, watched: Begin) -> None:
    running = watched()
    write(folder / "maker.jpg", SHARP)
    running.until_told(1)
    write(folder / "maker.jpg", SHARP)
    (folder / "maker.jpg").touch()
    write(folder / "other.jpg", SHARP)
    running.until_told(2)
    assert running.names() == ["maker", "other"]


@pytest.mark.parametrize("raw_first", [True, False])
def test_a_raw_and_its_jpeg_are_one_frame(folder: Path, watched: Begin, raw_first: bool) -> None:
    running = watched()
    files = {"bowl.dng": b"raw" * 1000, "bowl.JPG": SHARP}
    for name in sorted(files, reverse=not raw_first, key=lambda name: not name.endswith("dng")):
        write(folder / name, files[name])
        time.sleep(0.2)
    running.until_told(1)
    assert running.told[0].file.name == "bowl.JPG"
    until(lambda: raws(folder) == {Path("bowl.JPG"): [Path("bowl.dng")]})


def test_a_raw_alone_is_judged_until_its_jpeg_comes(folder: Path, watched: Begin) -> None:
    settings = Settings.model_validate({"watch": {"pair_wait_s": 0.3}})
    running = watched(settings)
    write(folder / "bowl.dng", dng(mosaic(light(portrait(3.0)))))
    running.until_told(1)
    assert running.told[0].verdict is Verdict.SOFT
    assert running.told[0].judged_from == "the raw's green samples"
    (row,) = Reader(folder).rows_since(0)
    assert Reader(folder).evidence(row.id).judged_from == "the raw's green samples"
    write(folder / "bowl.jpg", SHARP)
    running.until_told(2)
    assert [row.verdict for row in Reader(folder).rows_since(0)] == ["sharp"]


def test_a_watch_started_again_judges_nothing_twice_and_nothing_less(
    folder: Path, watched: Begin
) -> None:
    first = watched()
    write(folder / "one.jpg", SHARP)
    first.until_told(1)
    first.end()
    write(folder / "two.jpg", SOFT)  # while nobody watches
    again = watched()
    again.until_told(1)
    assert again.names() == ["two"]


def test_a_renamed_file_is_not_judged_again(folder: Path, watched: Begin) -> None:
    running = watched()
    write(folder / "tmp0001.jpg", SHARP)
    running.until_told(1)
    (folder / "tmp0001.jpg").rename(folder / "maker-0001.jpg")
    until(lambda: [row.name for row in Reader(folder).rows_since(0)] == ["maker-0001"])
    write(folder / "maker-0002.jpg", SHARP)
    running.until_told(2)


def test_the_newest_is_judged_first(folder: Path, watched: Begin) -> None:
    one = Settings.model_validate({"watch": {"workers": 1}})
    for number in range(12):
        write(folder / f"bowl-{number:02}.jpg", SHARP)
    running = watched(one)
    until(lambda: bool(running.told))
    write(folder / "newest.jpg", SHARP)
    until(lambda: len(running.told) == 13)
    assert running.names().index("newest") < 11


def test_a_folder_that_vanishes_and_comes_back_costs_nothing(folder: Path, watched: Begin) -> None:
    running = watched()
    write(folder / "one.jpg", SHARP)
    running.until_told(1)
    away = folder.rename(folder.with_name("unmounted"))
    time.sleep(2.5)
    write(away / "two.jpg", SOFT)
    away.rename(folder)
    running.until_told(2)
    write(folder / "three.jpg", SHARP)
    running.until_told(3)
    assert running.names() == ["one", "two", "three"]
    assert {row.name for row in Reader(folder).rows_since(0)} == {"one", "two", "three"}


def test_a_folder_removed_and_made_anew_is_watched_on(folder: Path, watched: Begin) -> None:
    running = watched()
    write(folder / "one.jpg", SHARP)
    running.until_told(1)
    shutil.rmtree(folder)
    time.sleep(2.5)
    folder.mkdir()
    write(folder / "two.jpg", SHARP)
    running.until_told(2)
    until(lambda: [row.name for row in Reader(folder).rows_since(0)] == ["two"])


def test_a_picture_is_only_ever_read(folder: Path, watched: Begin) -> None:
    path = write(folder / "maker.jpg", SHARP)
    path.chmod(0o444)
    before = path.stat()
    running = watched()
    running.until_told(1)
    after = path.stat()
    assert path.read_bytes() == SHARP
    assert (before.st_mtime_ns, before.st_ino, before.st_mode) == (
        after.st_mtime_ns,
        after.st_ino,
        after.st_mode,
    )


def test_subfolders_belong_to_the_session_by_name(folder: Path, watched: Begin) -> None:
    running = watched()
    (folder / "bowl set").mkdir()
    write(folder / "bowl set" / "0001.jpg", jpeg(grey()))
    running.until_told(1)
    assert running.names() == ["bowl set/0001"]
