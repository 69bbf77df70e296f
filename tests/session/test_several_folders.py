"""Several folders, each perhaps a camera's: one session, one record, and each frame says whose."""

from __future__ import annotations

import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from tests.frame.scene import LABEL, frame
from tests.pictures import jpeg, portrait, write
from tests.session.made import raws, until
from tests.session.running import Begin
from tether.model import Cause, Judgement, Setup
from tether.session import setups
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.schema import NAME
from tether.settings import Session, Settings, load

SHARP = jpeg(portrait())
NEAR = 4  # px


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    (made := tmp_path / "cups" / "shelf").mkdir(parents=True)
    return made


def columns(folder: Path) -> dict[str, tuple[str, str]]:
    """Whose each frame is, and where the record says that its file lies."""
    with closing(sqlite3.connect(folder / NAME)) as opened:
        rows = opened.execute("SELECT name, camera, path FROM frames").fetchall()
    return {name: (camera, path.decode()) for name, camera, path in rows}


def by_name(told: list[Judgement]) -> dict[str, Judgement]:
    return {one.frame: one for one in told}


def test_each_frame_says_whose_it_is_and_names_never_clash(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(folder / "DSC_0001.jpg", SHARP)
    (shelf / "glaze").mkdir()
    write(shelf / "DSC_0001.jpg", SHARP)
    write(shelf / "glaze" / "DSC_0002.jpg", SHARP)
    running.until_told(3)
    told = by_name(running.told)
    assert sorted(told) == ["DSC_0001", "shelf/DSC_0001", "shelf/glaze/DSC_0002"]
    assert told["shelf/DSC_0001"].file == shelf / "DSC_0001.jpg"
    assert (told["DSC_0001"].camera, told["shelf/DSC_0001"].camera) == ("hot folder", "shelf")
    assert columns(folder) == {
        "DSC_0001": ("hot folder", "DSC_0001.jpg"),
        "shelf/DSC_0001": ("shelf", str(shelf / "DSC_0001.jpg")),
        "shelf/glaze/DSC_0002": ("shelf", str(shelf / "glaze" / "DSC_0002.jpg")),
    }
    reader = Reader(folder)
    rows = {row.name: row for row in reader.rows_since(0)}
    assert rows["shelf/DSC_0001"].camera == "shelf"
    assert reader.path_of(rows["shelf/DSC_0001"].id) == shelf / "DSC_0001.jpg"
    assert sorted(one.name for one in shelf.iterdir()) == ["DSC_0001.jpg", "glaze"]


def test_a_raw_belongs_to_no_jpeg_of_another_folder(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    settings = Settings()
    quick = settings.watch.model_copy(update={"pair_wait_s": 0.3})
    running = watched(settings.model_copy(update={"watch": quick}), shelf)
    write(folder / "DSC_0001.nef", b"raw" * 1000)
    write(shelf / "DSC_0001.jpg", SHARP)
    running.until_told(2)
    assert sorted(running.names()) == ["DSC_0001", "shelf/DSC_0001"]
    write(shelf / "DSC_0001.nef", b"raw" * 1000)
    pair = {shelf / "DSC_0001.jpg": [shelf / "DSC_0001.nef"]}
    until(lambda: raws(folder) == pair)
    running.until_told(2)


def test_started_again_nothing_is_judged_twice_and_nothing_left_out(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(folder / "one.jpg", SHARP)
    write(shelf / "one.jpg", SHARP)
    running.until_told(2)
    running.end()
    write(shelf / "two.jpg", SHARP)
    again = watched(None, shelf)
    again.until_told(1)
    assert again.names() == ["shelf/two"]
    again.end()
    # Without the further folder the record is read and written all the same.
    alone = watched()
    write(folder / "two.jpg", SHARP)
    alone.until_told(1)
    assert len(columns(folder)) == 4


def test_a_file_renamed_in_a_further_folder_keeps_its_verdict(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(shelf / "one.jpg", SHARP)
    running.until_told(1)
    (shelf / "one.jpg").rename(shelf / "bowl.jpg")
    until(lambda: set(columns(folder)) == {"shelf/bowl"})
    assert columns(folder)["shelf/bowl"] == ("shelf", str(shelf / "bowl.jpg"))
    assert Reader(folder).frame(1) == {
        **(Reader(folder).frame(1) or {}),
        "frame": "shelf/bowl",
        "file": str(shelf / "bowl.jpg"),
    }
    running.until_told(1)


def test_a_link_out_of_a_further_folder_is_not_followed(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(folder / "one.jpg", SHARP)
    (shelf / "link.jpg").symlink_to(folder / "one.jpg")
    running.until_told(2)
    linked = by_name(running.told)["shelf/link"]
    assert linked.cause is Cause.UNREADABLE
    assert "leads out of the folder" in (linked.error or "")


def test_a_further_folder_that_goes_is_named_and_the_other_one_goes_on(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(shelf / "one.jpg", SHARP)
    running.until_told(1)
    away = shelf.with_name("away")
    shelf.rename(away)
    until(lambda: not Reader(folder).state().there)
    assert Reader(folder).state().line.startswith("shelf: the folder is gone")
    write(folder / "one.jpg", SHARP)
    running.until_told(2)
    away.rename(shelf)
    until(lambda: Reader(folder).state().there)
    write(shelf / "two.jpg", SHARP)
    running.until_told(3)
    assert running.names() == ["shelf/one", "one", "shelf/two"]


def test_while_the_sessions_folder_is_gone_the_other_one_is_judged_and_recorded_later(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(folder / "one.jpg", SHARP)
    running.until_told(1)
    away = folder.with_name("away")
    folder.rename(away)
    write(shelf / "two.jpg", SHARP)
    running.until_told(2)
    assert "not recorded yet" in (running.told[1].error or "")
    away.rename(folder)
    until(lambda: "shelf/two" in columns(folder))
    assert running.names() == ["one", "shelf/two"]


def test_a_file_that_is_gone_with_its_folder_is_judged_when_that_is_back(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(shelf / "0.jpg", SHARP)
    running.until_told(1)
    for number in range(1, 12):
        write(shelf / f"{number}.jpg", SHARP)
    until(lambda: len(running.told) > 1)
    away = shelf.with_name("away")
    shelf.rename(away)  # most of them still wait for their verdict
    until(lambda: not Reader(folder).state().there)
    time.sleep(1.0)
    assert len(running.told) < 12
    away.rename(shelf)
    running.until_told(12)
    assert all(one.error is None for one in running.told)


def test_what_was_laid_over_one_cameras_frame_is_not_followed_in_the_others(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    product = load("product")
    fixed = [LABEL.x, LABEL.y, LABEL.width, LABEL.height]
    area = product.area.model_copy(update={"fixed": fixed})
    running = watched(product.model_copy(update={"area": area}), shelf)
    write(folder / "bowl-0001.jpg", jpeg(frame()))
    running.until_told(1)
    # This camera stands elsewhere: to follow the other's area would lead 40 px away.
    write(shelf / "bowl-0001.jpg", jpeg(frame(40, -30)))
    running.until_told(2)
    own = running.told[1].area
    assert own is not None
    assert own.rect == LABEL
    write(shelf / "bowl-0002.jpg", jpeg(frame(60, -30)))
    running.until_told(3)
    followed = running.told[2].area
    assert followed is not None
    assert abs(followed.rect.x - LABEL.x - 20) <= NEAR
    assert abs(followed.rect.y - LABEL.y) <= NEAR


def test_folders_that_are_setups_are_those_below_the_watched_ones(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    Record(folder).open()
    setups.put_list(folder, [Setup("cups"), Setup("glaze")], "list")  # it lies in a folder `cups`
    (shelf / "glaze").mkdir()
    session = Session(by_folder=True)
    running = watched(Settings().model_copy(update={"session": session}), shelf)
    write(shelf / "one.jpg", SHARP)
    running.until_told(1)
    write(shelf / "glaze" / "two.jpg", SHARP)
    running.until_told(2)
    assert [one.setup for one in running.told] == [None, "glaze"]
    assert [one.setup.name for one in Reader(folder).shot_list()[0]] == ["cups", "glaze"]


def test_a_copy_in_the_other_folder_is_a_frame_of_its_own(
    folder: Path, shelf: Path, watched: Begin
) -> None:
    running = watched(None, shelf)
    write(folder / "one.jpg", SHARP)
    running.until_told(1)
    shutil.copy2(folder / "one.jpg", shelf / "one.jpg")
    running.until_told(2)
    assert running.names() == ["one", "shelf/one"]
