"""What screens are told is what the record holds, and nothing of where things lie."""

from __future__ import annotations

import json
import sqlite3
import time
from dataclasses import replace
from pathlib import Path

import pytest

from tests.dashboard.demo import crop, entry
from tests.second_screen import demo
from tether.model import Setup, Verdict
from tether.second_screen.state import MOST_SETUPS, State, States
from tether.session import overrules, schema, setups, turns
from tether.session.lock import Lock
from tether.session.record import Record, WatchState


def read(folder: Path, *, pictures: bool = True) -> State:
    states = States(folder, pictures=pictures)
    states.watched()
    found = states.changed()
    states.close()
    assert found is not None
    json.dumps(found.told, allow_nan=False)
    return found


def test_the_last_frame_the_shot_list_and_the_reshoots(folder: Path, record: Record) -> None:
    demo.filled(folder, record)
    with Lock(folder):
        state = read(folder)
    frame = state.told["frame"]
    assert (frame["name"], frame["verdict"], frame["cause"]) == ("maker-0009", "soft", "defocus")
    assert (frame["edge_width_px"], frame["limit_px"]) == (5.8, 3.5)
    assert frame["setup"] == "Maker at the wheel"
    assert frame["advice"]
    listed = [(one["name"], one["has"], one["needs"]) for one in state.told["setups"]]
    assert listed == [
        ("Bowl, celadon, whole", 3, 3),
        ("Bowl, celadon, rim", 1, 2),
        ("Teapot, lid and spout", 2, 2),
        ("Maker at the wheel", 1, 4),
        ("Kiln shelf", 0, 0),
    ]
    assert [one["covered"] for one in state.told["setups"]] == [True, False, True, False, True]
    assert [one["current"] for one in state.told["setups"]] == [False, False, False, True, False]
    (reshoot,) = state.told["reshoots"]
    assert (reshoot["setup"], reshoot["has"], reshoot["needs"]) == ("Bowl, celadon, rim", 1, 2)
    assert reshoot["on_it"] == ""
    assert state.waiting == {reshoot["id"]}
    assert state.told["lines"] == []


def test_nothing_is_told_twice_and_each_change_once(folder: Path, record: Record) -> None:
    record.add(entry(1))
    states = States(folder, pictures=True)
    states.watched()
    assert states.changed() is not None
    assert states.changed() is None
    record.add(entry(2, Verdict.SOFT, width=5.0))
    found = states.changed()
    assert found is not None
    assert found.told["frame"]["name"] == "bowl-0002"
    assert states.changed() is None
    states.watched()
    assert states.changed() is None
    with Lock(folder):
        states.watched()
        assert states.changed() is not None
    states.close()


def test_the_newest_is_the_one_that_arrived_last_whichever_was_judged_last(
    folder: Path, record: Record
) -> None:
    now = time.time()
    demo.add(record, 2, Verdict.SHARP, None, now)
    demo.add(record, 1, Verdict.SOFT, None, now - 60)
    assert read(folder).told["frame"]["name"] == "maker-0002"


def test_a_slate_is_passed_over(folder: Path, record: Record) -> None:
    states = States(folder, pictures=True)
    now = time.time()
    demo.add(record, 1, Verdict.SHARP, None, now)
    demo.add(record, 2, Verdict.SOFT, None, now + 1)
    found = states.changed()
    assert found is not None
    assert found.told["frame"]["name"] == "maker-0002"
    made = entry(2, Verdict.UNJUDGED, width=None, name="maker-0002")
    record.add(replace(made, judgement=replace(made.judgement, slate="bowl 3"), row=2))
    found = states.changed()
    assert found is not None
    assert found.told["frame"]["name"] == "maker-0001"
    states.close()


def test_a_frame_that_left_the_record_is_not_shown(folder: Path, record: Record) -> None:
    states = States(folder, pictures=True)
    demo.add(record, 1, Verdict.SHARP, None, 1000.0)
    demo.add(record, 2, Verdict.SOFT, None, 2000.0)
    assert states.changed() is not None
    record.remove(2)
    found = states.changed()
    assert found is not None
    assert found.told["frame"]["verdict"] == "sharp"
    states.close()


def test_the_photographers_word_comes_first(folder: Path, record: Record) -> None:
    demo.add(record, 1, Verdict.SOFT, None)
    overrules.overrule(folder, 1, Verdict.SHARP, "meant so", feed=False)
    frame = read(folder).told["frame"]
    assert frame["verdict"] == "sharp"
    assert frame["overruled"] == "measured soft, overruled: meant so"
    assert frame["cause"] is None
    assert frame["advice"] == []


def test_a_picture_goes_along_only_where_it_may(folder: Path, record: Record) -> None:
    demo.add(record, 1, Verdict.SOFT, None)
    shown = read(folder)
    assert shown.picture == (shown.told["frame"]["picture"], crop(5.8))
    held = read(folder, pictures=False)
    assert held.picture == ("", b"")
    assert held.told["frame"]["picture"] == ""


@pytest.mark.parametrize("damaged", [b"<svg onload=alert(1)>", b"\xff\xd8" + bytes(1_000_001)])
def test_what_is_no_picture_of_ours_is_not_shown(
    folder: Path, record: Record, damaged: bytes
) -> None:
    made = entry(1)
    record.add(replace(made, judgement=replace(made.judgement, crop=damaged)))
    assert read(folder).picture == ("", b"")


@pytest.mark.parametrize(
    ("state", "line"),
    [
        (WatchState(camera_there=False, camera="waiting for camera"), "waiting for camera"),
        (WatchState(alerts="command lamp: status 1"), "alerts fail: command lamp: status 1"),
        (WatchState(there=False, line="gone"), "the folder is away: gone"),
    ],
)
def test_what_stands_in_the_way_is_told(
    folder: Path, record: Record, state: WatchState, line: str
) -> None:
    record.tell(state)
    with Lock(folder):
        assert read(folder).told["lines"] == [line]


def test_that_no_watch_runs_is_told_and_then_nothing_that_may_be_old(
    folder: Path, record: Record
) -> None:
    record.tell(WatchState(camera_there=False, camera="waiting for camera"))
    assert read(folder).told["lines"] == ["no watch is running: nothing new is judged"]


def test_no_folder_of_this_computer_is_told(folder: Path, record: Record) -> None:
    error = f"{folder}/a b/c.jpg: cut short; see /usr/share/doc/x or ~/notes/y.txt, not 1/60 s"
    record.add(entry(1, Verdict.UNJUDGED, width=None, error=error))
    record.tell(WatchState(alerts="/home/potter/bin/lamp --red: status 1"))
    with Lock(folder):
        told = json.dumps(read(folder).told)
    assert str(folder) not in told
    assert "/home" not in told
    assert "/usr" not in told
    assert "c.jpg: cut short; see x or y.txt, not 1/60 s" in told
    assert "alerts fail: lamp --red: status 1" in told


def test_names_from_outside_are_safe(folder: Path, record: Record) -> None:
    made = entry(1, Verdict.UNJUDGED, width=None, error="\x1b]0;x\x07 <b>\u202e")
    record.add(made)
    (line,) = read(folder).told["frame"]["advice"]
    assert line == r"\x1b]0;x\x07 <b>\u202e"


def test_of_ten_thousand_setups_those_around_the_one_of_now_are_shown(
    folder: Path, record: Record
) -> None:
    record.open()
    opened = sqlite3.connect(folder / schema.NAME)
    opened.executemany(
        "INSERT INTO setups (revision, place, name, folded, code, needed, notes, origin) "
        "VALUES (1, ?, ?, ?, '', 1, '', 'list')",
        [(nth, f"Bowl {nth}", f"bowl {nth}") for nth in range(10_000)],
    )
    opened.commit()
    opened.close()
    turns.turn_to(folder, "Bowl 5000", "list")
    told = read(folder).told
    assert len(told["setups"]) == MOST_SETUPS
    assert told["more"] == 10_000 - MOST_SETUPS
    assert [one["name"] for one in told["setups"] if one["current"]] == ["Bowl 5000"]


def test_a_missing_damaged_or_vanished_record_is_told_and_found_again(
    folder: Path, record: Record
) -> None:
    states = States(folder, pictures=True)
    found = states.changed()
    assert found is not None
    assert found.told["lines"] == ["no record yet: it begins with the watch"]
    assert states.changed() is None
    record.add(entry(1))
    found = states.changed()
    assert found is not None
    assert found.told["frame"]["name"] == "bowl-0001"
    record.close()
    for path in folder.glob("tether-record.*"):
        path.unlink()
    (folder / schema.NAME).write_bytes(b"not a database at all" * 100)
    found = states.changed()
    assert found is not None
    assert found.told["lines"] == ["the record cannot be read just now"]
    assert found.told["frame"]["name"] == "bowl-0001"
    (folder / schema.NAME).unlink()
    record.add(entry(2))
    found = states.changed()
    assert found is not None
    assert found.told["frame"]["name"] == "bowl-0002"
    states.close()


def test_a_record_of_an_older_program_is_shown(folder: Path, record: Record) -> None:
    record.add(entry(1))
    record.close()
    opened = sqlite3.connect(folder / schema.NAME)
    for table in ("setups", "turns", "reshoots", "reference_frames", "overrules"):
        opened.execute(f"DROP TABLE {table}")
    for index in ("frames_by_setup", "frames_in_order"):
        opened.execute(f"DROP INDEX {index}")
    for column in ("setup", "camera", "taken", "slate", "relative_blur"):
        opened.execute(f"ALTER TABLE frames DROP COLUMN {column}")
    opened.execute("PRAGMA user_version = 2")
    opened.commit()
    opened.close()
    told = read(folder).told
    assert told["frame"]["name"] == "bowl-0001"
    assert told["setups"] == []


def test_whose_a_frame_is_is_told(folder: Path, record: Record) -> None:
    made = entry(1)
    record.add(replace(made, judgement=replace(made.judgement, camera="left")))
    assert read(folder).told["frame"]["camera"] == "left"


def test_a_setup_with_notes(folder: Path, record: Record) -> None:
    record.open()
    setups.add(folder, Setup("Rim", needed=2, notes="window light"), "screen")
    (told,) = read(folder).told["setups"]
    assert told["notes"] == "window light"
