"""A fixed area is laid by a screen or by the first frame, kept in the record, and then followed."""

from __future__ import annotations

import sqlite3
import threading
from dataclasses import replace
from pathlib import Path

import pytest

from tests.frame.scene import HEIGHT, LABEL, WIDTH, frame
from tests.pictures import jpeg, write
from tests.session.made import entry
from tests.session.running import Begin
from tether.frame.anchor import coded, lay
from tether.model import Rect, Source
from tether.session import laid as areas
from tether.session.fixed_areas import FixedAreas
from tether.session.laid import Laid
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.schema import NAME, RecordError
from tether.session.wanted import Wanted
from tether.settings import Settings, load

OVER = lay(frame(), LABEL, "bowl-0001", drawn=True)
SMALL = coded(OVER.small)
DRAWN = Laid(LABEL, (WIDTH, HEIGHT), "bowl-0001", drawn=True)
NEAR = 4  # px


def product(**area: object) -> Settings:
    return load("product").model_copy(
        update={"area": load("product").area.model_copy(update=area)},
    )


def test_what_is_put_is_read_and_replaced_setup_by_setup(folder: Path) -> None:
    record = Record(folder)
    record.add(entry(folder, "bowl-0001"))
    reader = Reader(folder)
    assert reader.laid() is None
    first = areas.put(folder, DRAWN, SMALL)
    areas.put(folder, Laid(Rect(1, 2, 300, 400), (WIDTH, HEIGHT), "cup", drawn=True), SMALL, 7)
    found = reader.laid()
    assert found is not None
    assert (found.rect, found.size, found.frame) == (LABEL, (WIDTH, HEIGHT), "bowl-0001")
    assert reader.laid_over(found) == SMALL
    cups = reader.laid(7)
    assert cups is not None
    assert cups.rect == Rect(1, 2, 300, 400)
    assert reader.laid(drawn=False) is None
    assert areas.put(folder, DRAWN, SMALL) > first
    areas.take_away(folder)
    assert reader.laid() is None
    assert reader.laid(7) == cups
    assert [row.name for row in reader.rows_since(0)] == ["bowl-0001"]


def test_each_camera_has_its_own(folder: Path) -> None:
    Record(folder).open()
    areas.put(folder, DRAWN, SMALL, camera="left")
    now = FixedAreas(Record(folder))
    left = now.now(None, None, "left")
    assert left is not None
    assert left.rect == LABEL
    assert now.now(None, None, "above") is now.now(None, None) is None
    now.lay(lay(frame(), Rect(1, 2, 300, 400), "above/bowl-0001", drawn=False), None, "above")
    given = Reader(folder).laid(camera="above", drawn=False)
    assert given is not None
    assert given.rect == Rect(1, 2, 300, 400)
    assert Reader(folder).laid(camera="left", drawn=False) is None
    areas.take_away(folder, camera="above")
    assert Reader(folder).laid(camera="left") is not None
    areas.take_away(folder, camera="left")
    assert now.now(None, None, "left") is None


def test_who_lays_an_area_follows_it_at_once_and_leaves_it_to_be_written(folder: Path) -> None:
    Record(folder).open()
    wanted: list[Wanted] = []
    now = FixedAreas(Record(folder), wanted.append)
    over = lay(frame(), LABEL, "bowl-0001", drawn=False)
    now.lay(over, None)
    assert now.now(None, [LABEL.x, LABEL.y, LABEL.width, LABEL.height]) is over
    assert Reader(folder).laid(drawn=False) is None
    for one in wanted:
        one.write()
    found = Reader(folder).laid(drawn=False)
    assert found is not None
    assert found.rect == LABEL
    assert now.now(None, [LABEL.x, LABEL.y, LABEL.width, LABEL.height]) is over


def test_an_area_that_somebody_drew_meanwhile_is_not_written_over(folder: Path) -> None:
    Record(folder).open()
    wanted: list[Wanted] = []
    now = FixedAreas(Record(folder), wanted.append)
    now.lay(lay(frame(), LABEL, "bowl-0001", drawn=False), None)
    areas.put(folder, replace(DRAWN, rect=Rect(1, 2, 300, 400)), SMALL)
    assert now.now(None, None) is not None
    for one in wanted:
        one.write()
    assert Reader(folder).laid(drawn=False) is None
    followed = now.now(None, None)
    assert followed is not None
    assert followed.rect == Rect(1, 2, 300, 400)


def test_nothing_is_put_where_there_is_no_record(folder: Path) -> None:
    with pytest.raises(RecordError, match="no record here"):
        areas.put(folder, DRAWN, SMALL)
    assert list(folder.iterdir()) == []


def test_areas_of_the_second_version_are_read_and_kept(folder: Path) -> None:
    record = Record(folder)
    record.add(entry(folder, "bowl-0001"))
    record.close()
    areas.put(folder, DRAWN, SMALL)
    older = sqlite3.connect(folder / NAME)
    older.executescript(
        "DROP INDEX fixed_area_of; ALTER TABLE fixed_areas DROP COLUMN camera; "
        "CREATE UNIQUE INDEX fixed_area_of_setup ON fixed_areas (ifnull(setup, ''), drawn); "
        "PRAGMA user_version = 2;"
    )
    older.close()
    reader = Reader(folder)
    found = reader.laid()
    assert found is not None
    assert found.rect == LABEL
    areas.put(folder, DRAWN, SMALL, camera="left")
    assert reader.laid() == found
    assert reader.laid(camera="left") is not None


def test_a_record_of_the_first_version_is_read_and_taken_further(folder: Path) -> None:
    record = Record(folder)
    record.add(entry(folder, "bowl-0001"))
    record.close()
    older = sqlite3.connect(folder / NAME)
    older.executescript("DROP TABLE fixed_areas; PRAGMA user_version = 1;")
    older.close()
    reader = Reader(folder)
    assert reader.laid() is None
    assert len(reader.rows_since(0)) == 1
    areas.put(folder, DRAWN, SMALL)
    assert reader.laid() is not None
    record.add(entry(folder, "bowl-0002"))
    assert len(reader.rows_since(0)) == 2


def test_a_screen_may_put_areas_while_a_watch_writes_frames(folder: Path) -> None:
    record = Record(folder)
    record.add(entry(folder, "bowl-0000"))
    failed: list[Exception] = []

    def draw() -> None:
        try:
            for _ in range(20):
                areas.put(folder, DRAWN, SMALL)
        except RecordError as problem:
            failed.append(problem)

    drawing = threading.Thread(target=draw)
    drawing.start()
    for number in range(1, 41):
        record.add(entry(folder, f"bowl-{number:04}", nth=number))
    drawing.join()
    assert not failed
    reader = Reader(folder)
    assert len(reader.rows_since(0)) == 41
    assert reader.laid() is not None


def test_a_drawn_area_comes_before_the_settings_own_until_it_is_taken_away(folder: Path) -> None:
    Record(folder).open()
    now, own_area = FixedAreas(Record(folder)), [100, 100, 200, 200]
    assert now.now(None, own_area) is None
    now.lay(lay(frame(), Rect(100, 100, 200, 200), "bowl-0001", drawn=False), None)
    own = now.now(None, own_area)
    assert own is not None
    areas.put(folder, DRAWN, SMALL)
    found = now.now(None, own_area)
    assert found is not None
    assert (found.rect, found.drawn) == (LABEL, True)
    areas.take_away(folder)
    found = now.now(None, own_area)
    assert found is not None
    assert (found.rect, found.drawn) == (own.rect, False)
    # The next watch goes on from there, but not with an area that its settings do not name.
    assert FixedAreas(Record(folder)).now(None, [100, 100, 200, 200]) == own
    assert FixedAreas(Record(folder)).now(None, [100, 100, 200, 201]) is None
    assert FixedAreas(Record(folder)).now(None, None) is None


def test_it_holds_while_the_record_cannot_be_read(folder: Path) -> None:
    Record(folder).open()
    areas.put(folder, DRAWN, SMALL)
    now = FixedAreas(Record(folder))
    found = now.now(None, None)
    (folder / NAME).rename(folder / "elsewhere")
    assert now.now(None, None) == found is not None


def test_a_damaged_picture_of_it_is_as_none(folder: Path) -> None:
    Record(folder).open()
    areas.put(folder, DRAWN, b"no picture")
    assert FixedAreas(Record(folder)).now(None, None) is None


@pytest.mark.parametrize("preset", ["portrait", "product"])
def test_a_watch_judges_by_a_drawn_area_from_the_next_frame_on(
    folder: Path, watched: Begin, preset: str
) -> None:
    running = watched(load(preset))
    write(folder / "bowl-0001.jpg", jpeg(frame()))
    running.until_told(1)
    first = running.told[0].area
    assert first is not None
    assert first.source is not Source.FIXED_AREA
    areas.put(folder, DRAWN, SMALL)
    write(folder / "bowl-0002.jpg", jpeg(frame(30, -20)))
    running.until_told(2)
    area = running.told[1].area
    assert area is not None
    assert area.source is Source.FIXED_AREA
    assert abs(area.rect.x - LABEL.x - 30) <= NEAR
    assert abs(area.rect.y - LABEL.y + 20) <= NEAR
    write(folder / "bowl-0003.jpg", jpeg(frame(110)))
    running.until_told(3)
    told = running.told[2]
    assert told.area is not None
    assert told.area.rect == LABEL
    assert "the camera moved too far" in told.notes[0]
    reader = Reader(folder)
    assert "the camera moved too far" in reader.evidence(3).lost
    assert reader.evidence(2).lost == ""


def test_the_settings_area_follows_from_the_first_frame_that_is_judged(
    folder: Path, watched: Begin
) -> None:
    fixed = [LABEL.x, LABEL.y, LABEL.width, LABEL.height]
    running = watched(product(fixed=fixed))
    write(folder / "bowl-0000.jpg", jpeg(frame(light=0.0, noise=0.0)))
    running.until_told(1)
    assert Reader(folder).laid(drawn=False) is None  # nothing to know again
    write(folder / "bowl-0001.jpg", jpeg(frame()))
    running.until_told(2)
    laid = Reader(folder).laid(drawn=False)
    assert laid is not None
    assert (laid.frame, laid.rect) == ("bowl-0001", LABEL)
    running.end()
    again = watched(product(fixed=fixed))
    write(folder / "bowl-0002.jpg", jpeg(frame(-30, 10)))
    again.until_told(1)
    area = again.told[0].area
    assert area is not None
    assert abs(area.rect.x - LABEL.x + 30) <= NEAR


def test_asking_costs_a_frame_next_to_nothing(folder: Path) -> None:
    # What is promised is that an unchanged record is not decoded again.
    record = Record(folder)
    record.open()
    areas.put(folder, DRAWN, SMALL)
    now = FixedAreas(Record(folder))
    first = now.now(None, None)
    record.add(entry(folder, "bowl-0001"))  # the record changed, the area did not
    assert now.now(None, None) is first
