"""What was fetched from a camera's card outlives the watch, in the session's record."""

from __future__ import annotations

import shutil
import sqlite3
import time
from pathlib import Path

import pytest

from tether.arrivals.camera.ledger import Dealt, LedgerError
from tether.arrivals.camera.messages import OnCard
from tether.session.fetched import Fetched
from tether.session.reader import Reader
from tether.session.record import Record, WatchState
from tether.session.schema import NAME, VERSION

ONE = OnCard("/DCIM/100KILNS", "DSC_0001.JPG", 12_000_000, 1_778_752_931)


def test_what_is_noted_is_there_at_the_next_start(folder: Path) -> None:
    ledger = Fetched(folder)
    noted = [
        Dealt("Studio One 1", ONE, Path("DSC_0001.JPG")),
        Dealt("Studio One 2", ONE, Path("DSC_0001-2.JPG")),
        Dealt("Studio One 1", ONE._replace(size=1), None),
        # Bytes that are no text, as the system's names hold them.
        Dealt("Studio One 1", ONE._replace(name="DSC\udcff.JPG"), Path("DSC\udcff.JPG")),
    ]
    ledger.note(noted)
    ledger.close()
    assert Fetched(folder).dealt() == noted


def test_noted_again_it_has_its_new_name(folder: Path) -> None:
    ledger = Fetched(folder)
    ledger.note([Dealt("Studio One 1", ONE, Path("DSC_0001.JPG"))])
    ledger.note([Dealt("Studio One 1", ONE, Path("DSC_0001-2.JPG"))])
    assert ledger.dealt() == [Dealt("Studio One 1", ONE, Path("DSC_0001-2.JPG"))]


def test_each_of_several_cameras_knows_its_own_and_what_was_fetched_before_they_had_names(
    folder: Path,
) -> None:
    # Two of one model that tell no serial number: the same key, and maybe the same file.
    alone = Fetched(folder)
    early = ONE._replace(name="DSC_0000.JPG")
    alone.note([Dealt("Studio One", early, Path("DSC_0000.JPG"))])
    left, above = Fetched(folder, "left"), Fetched(folder, "above")
    left.note([Dealt("Studio One", ONE, Path("DSC_0001.JPG"))])
    above.note([Dealt("Studio One", ONE, None)])
    before = Dealt("Studio One", early, folder / "DSC_0000.JPG")
    assert left.dealt() == [before, Dealt("Studio One", ONE, Path("DSC_0001.JPG"))]
    assert above.dealt() == [before, Dealt("Studio One", ONE, None)]
    assert Dealt("Studio One", ONE, Path("left/DSC_0001.JPG")) in alone.dealt()


def test_a_session_begins_once(folder: Path) -> None:
    before = time.time()
    began = Fetched(folder).began()
    assert before <= began <= time.time()
    assert Fetched(folder).began() == began


def test_the_watch_writes_beside_it(folder: Path) -> None:
    ledger, record = Fetched(folder), Record(folder)
    ledger.began()
    record.tell(WatchState(camera="connected: Studio One", camera_there=True))
    ledger.note([Dealt("Studio One 1", ONE, None)])
    assert Reader(folder).state().camera == "connected: Studio One"


def test_a_record_of_version_1_gets_the_table_and_keeps_its_state(folder: Path) -> None:
    record = Record(folder)
    record.tell(WatchState(waiting=3))
    record.close()
    with sqlite3.connect(folder / NAME) as old:
        old.execute("DROP TABLE fetched")
        old.execute("DELETE FROM state WHERE key != 'watch'")
        old.execute("UPDATE state SET value = ?", ('{"there": true, "line": "", "waiting": 3}',))
        old.execute("PRAGMA user_version = 1")
    old.close()
    assert Reader(folder).state() == WatchState(waiting=3)
    ledger = Fetched(folder)
    ledger.note([Dealt("Studio One 1", ONE, None)])
    ledger.close()
    with sqlite3.connect(folder / NAME) as now:
        assert now.execute("PRAGMA user_version").fetchone() == (VERSION,)
    now.close()
    assert Record(folder).begun()


def test_with_the_folder_away_it_says_so_and_goes_on_later(folder: Path) -> None:
    ledger = Fetched(folder)
    ledger.note([Dealt("Studio One 1", ONE, None)])
    away = folder.with_name("away")
    folder.rename(away)
    for step in (ledger.dealt, ledger.began, lambda: ledger.note([])):
        with pytest.raises(LedgerError, match="the folder is gone"):
            step()
    shutil.copytree(away, folder)
    assert ledger.dealt() == [Dealt("Studio One 1", ONE, None)]
