"""The shot list in the record: what is put there, changed, refused."""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path

import pytest

from tests.session.made import entry
from tether.model import Setup
from tether.session import setups, turns
from tether.session.reader import Reader
from tether.session.record import Record, WatchState
from tether.session.schema import NAME, VERSION, RecordError
from tether.session.setups import SetupError

BOWL, MAKER = Setup("Bowl, blue", "B-01", 2), Setup("The maker", needed=3, notes="near eye")


@pytest.fixture
def session(folder: Path) -> Path:
    Record(folder).open()
    return folder


def listed(folder: Path) -> list[Setup]:
    return [one.setup for one in Reader(folder).shot_list()[0]]


def test_a_list_stands_in_its_order_with_all_that_it_says(session: Path) -> None:
    kiln = Setup("Kiln", "K", 0, "product", (0.4, 0.35, 0.1, 0.12), "after dark")
    setups.put_list(session, [MAKER, kiln, BOWL], "list")
    assert listed(session) == [MAKER, kiln, BOWL]
    assert {one.origin for one in Reader(session).shot_list()[0]} == {"list"}


def test_a_list_laid_again_renews_what_it_names_and_keeps_the_rest_behind(session: Path) -> None:
    setups.put_list(session, [BOWL, MAKER], "list")
    setups.add(session, Setup("Vase"), "slate")
    before = {one.setup.name: one.id for one in Reader(session).shot_list()[0]}
    more = Setup("THE  MAKER", "M", 1)
    setups.put_list(session, [more, BOWL], "list")
    assert listed(session) == [more, BOWL, Setup("Vase")]
    ids = [one.id for one in Reader(session).shot_list()[0]]
    assert ids == [before["The maker"], before["Bowl, blue"], before["Vase"]]


def test_a_setup_that_the_list_names_anew_is_known_by_its_code(session: Path) -> None:
    setups.put_list(session, [Setup("Tea pot", "T-1"), Setup("Jug", "J-1")], "list")
    before = [one.id for one in Reader(session).shot_list()[0]]
    setups.put_list(session, [Setup("Teapot", "T-1", 3), Setup("Jug", "J-1")], "list")
    assert [one.id for one in Reader(session).shot_list()[0]] == before
    assert listed(session) == [Setup("Teapot", "T-1", 3), Setup("Jug", "J-1")]
    # Code and name of two that are both on the list are no such thing.
    setups.put_list(session, [Setup("Jug", "T-1"), Setup("Teapot", "J-1")], "list")
    assert listed(session) == [Setup("Jug", "T-1"), Setup("Teapot", "J-1")]


def test_codes_may_change_places_from_one_list_to_the_next(session: Path) -> None:
    setups.put_list(session, [Setup("Bowl", "1"), Setup("Jug", "2")], "list")
    setups.put_list(session, [Setup("Bowl", "2"), Setup("Jug", "1")], "list")
    assert [one.code for one in listed(session)] == ["2", "1"]


@pytest.mark.parametrize(
    ("setup", "why"),
    [
        (Setup("bowl,  BLUE"), "name 'bowl,  BLUE' is that of Bowl, blue already"),
        (Setup("b-01"), "name 'b-01' is that of Bowl, blue already"),
        (Setup("Jug", "B-01"), "code 'B-01' is that of Bowl, blue already"),
        (Setup("Jug", "bowl, blue"), "code 'bowl, blue' is that of Bowl, blue already"),
        (Setup("Ｊｕｇ", "Ｂ-01"), "is that of Bowl, blue already"),
        (Setup(""), "its name is empty"),
        (Setup("\t"), "its name"),
        (Setup("x" * 4000), "4,000"),
        (Setup("jug\x1b[31m"), "control characters"),
        (Setup("Next"), "asks for the setup that follows"),
        (Setup("Jug", needed=1000), "0 to 999"),
        (Setup("Jug", needed=-1), "0 to 999"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_changes_nothing(
    session: Path, setup: Setup, why: str
) -> None:
    setups.put_list(session, [BOWL, MAKER], "list")
    with pytest.raises(SetupError, match=why):
        setups.add(session, setup, "screen")
    number = Reader(session).shot_list()[0][1].id
    with pytest.raises(SetupError, match=why):
        setups.change(session, number, setup)
    assert listed(session) == [BOWL, MAKER]


def test_a_setup_may_keep_its_own_name_and_code_when_it_is_changed(session: Path) -> None:
    number = setups.add(session, BOWL, "screen")
    setups.change(session, number, Setup("BOWL, blue", "b-01", 5))
    assert listed(session) == [Setup("BOWL, blue", "b-01", 5)]


def test_the_order_can_be_changed(session: Path) -> None:
    setups.put_list(session, [BOWL, MAKER, Setup("Kiln")], "list")
    last = Reader(session).shot_list()[0][2].id
    setups.move(session, last, -1)
    assert [one.name for one in listed(session)] == ["Bowl, blue", "Kiln", "The maker"]
    setups.move(session, last, -9)
    setups.move(session, last, 99)
    assert [one.name for one in listed(session)] == ["Bowl, blue", "The maker", "Kiln"]


def test_a_setup_with_frames_or_the_one_of_now_stays(session: Path) -> None:
    one, two = (setups.add(session, setup, "screen") for setup in (BOWL, MAKER))
    record = Record(session)
    record.add(entry(session, "bowl-0001", setup=one))
    with pytest.raises(SetupError, match="it has frames"):
        setups.remove(session, one)
    turns.turn(session, two, "screen")
    with pytest.raises(SetupError, match="the setup of now"):
        setups.remove(session, two)
    turns.turn(session, None, "screen")
    setups.remove(session, two)
    assert listed(session) == [BOWL]
    assert Reader(session).shot_list()[1].been == set()


def test_without_a_record_nothing_is_made(folder: Path) -> None:
    with pytest.raises(RecordError, match="no record"):
        setups.add(folder, BOWL, "screen")
    assert list(folder.iterdir()) == []


def test_ten_thousand_setups_are_laid_and_found(session: Path) -> None:
    setups.put_list(session, [Setup(f"Piece {n}", f"P{n:05}") for n in range(10_000)], "list")
    assert turns.turn_to(session, "p04711", "command").listed.setup.name == "Piece 4711"
    assert len(Reader(session).progress().setups) == 10_000


def test_a_record_of_version_2_is_read_as_it_is_and_filled_from_then_on(folder: Path) -> None:
    record = Record(folder)
    record.add(entry(folder, "bowl-0001"))
    record.tell(WatchState(waiting=3))
    record.close()
    with sqlite3.connect(folder / NAME) as old:
        old.execute("DELETE FROM state WHERE key != 'watch'")
        for index in ("frames_by_setup", "frames_in_order", "frames_by_time"):
            old.execute(f"DROP INDEX {index}")
        for column in ("setup", "camera", "taken", "slate", "relative_blur", "came"):
            old.execute(f"ALTER TABLE frames DROP COLUMN {column}")
        for table in ("setups", "turns", "reshoots", "reference_frames", "overrules"):
            old.execute(f"DROP TABLE {table}")
        old.execute("PRAGMA user_version = 2")
    old.close()
    reader = Reader(folder)
    assert [row.name for row in reader.rows_since(0)] == ["bowl-0001"]
    assert (reader.shot_list()[0], reader.progress().setups, reader.overrule(1)) == ([], (), None)
    number = setups.add(folder, BOWL, "screen")
    Record(folder).add(entry(folder, "bowl-0002", setup=number))
    assert [row.setup for row in reader.rows_since(0)] == [None, number]
    with sqlite3.connect(folder / NAME) as now:
        assert now.execute("PRAGMA user_version").fetchone() == (VERSION,)
    now.close()


def test_it_turns_by_code_by_name_and_to_the_next(session: Path) -> None:
    setups.put_list(session, [BOWL, MAKER], "list")
    assert turns.turn_on(session, "screen").setup == BOWL
    assert turns.turn_on(session, "screen").setup == MAKER
    with pytest.raises(SetupError, match="The maker is the last setup"):
        turns.turn_on(session, "screen")
    assert turns.turn_to(session, " b-01 ", "command").listed.setup == BOWL
    new = turns.turn_to(session, "Vase  7", "command")
    assert (new.opened, new.listed.setup) == (True, Setup("Vase 7"))
    with pytest.raises(SetupError, match="control characters"):
        turns.turn_to(session, "V\x00se", "command")
    assert Reader(session).progress().current == new.listed.id


def test_a_frame_belongs_to_the_last_turn_before_it(session: Path) -> None:
    one, two = (setups.add(session, setup, "screen") for setup in (BOWL, MAKER))
    now = time.time()
    turns.turn(session, two, "screen", now)
    turns.turn(session, one, "screen", now - 10)  # a slate that is read late
    turns.turn(session, None, "screen", now + 10)
    found = Reader(session).shot_list()[1]
    assert [found.at(now + dt) for dt in (-11, -10, -1, 0, 9, 10)] == [
        *(None, one, one, two, two, None),
    ]


def test_of_slates_read_in_any_order_the_same_turns_come(session: Path) -> None:
    one, two = (setups.add(session, setup, "screen") for setup in (BOWL, MAKER))
    now = time.time()
    for name, dt in (("The maker", -30), ("The maker", -10), ("Bowl, blue", -20)):
        turns.turn_to(session, name, "slate", now + dt)
        turns.turn_to(session, name, "slate", now + dt)
    found = Reader(session).shot_list()[1]
    assert [found.at(now + dt) for dt in (-31, -25, -15, -5)] == [None, two, one, two]
