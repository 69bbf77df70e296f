"""The record holds every judged frame whole, and readers see it while it grows."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from tests.session.made import entry, judgement, raws, until
from tether import contract
from tether.frame.file import FileIdentity
from tether.model import Around, EdgeWidth, Eye, Part, Rect, Verdict
from tether.session.frame_evidence import FrameEvidence
from tether.session.reader import Reader
from tether.session.record import Place, Record, WatchState
from tether.session.schema import NAME, RecordError


def test_a_frame_comes_back_as_it_was_judged(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    record.add(entry(folder, "bowl-0001", Verdict.SOFT))
    (row,) = reader.rows_since(0)
    assert (row.name, row.verdict, row.cause) == ("bowl-0001", "soft", "defocus")
    assert (row.edge_width_lo, row.edge_width_px, row.edge_width_hi) == (6.5, 7.2, 7.9)
    assert reader.frame(row.id) == contract.as_dict(judgement(folder, "bowl-0001", Verdict.SOFT))
    assert reader.crop(row.id) == b"\xff\xd8 crop"


def test_the_evidence_is_kept_whole(folder: Path) -> None:
    Record(folder).add(entry(folder, "bowl-0001"))
    stored = sqlite3.connect(folder / NAME).execute("SELECT evidence FROM frames").fetchone()[0]
    assert json.loads(stored)["edges"] == 212
    assert json.loads(stored)["noise"] == 0.004


def test_a_frame_is_unfinished_until_it_is_recorded_whole(folder: Path) -> None:
    record = Record(folder)
    for number, name in enumerate(("bowl-0001", "bowl-0002")):
        record.add(replace(entry(folder, name, Verdict.SOFT, number), unfinished=True))
    oldest, newest = record.frames()
    assert (oldest.path, newest.path) == (Path("bowl-0001.jpg"), Path("bowl-0002.jpg"))
    assert newest.file == entry(folder, "bowl-0002", nth=1).file
    assert newest.line == Reader(folder).frame(2)
    assert (newest.unfinished, newest.told) == (True, False)
    record.told(newest.row)
    assert [one.told for one in record.frames()] == [False, True]
    record.renew(Place(oldest.row, Path("bowl.jpg"), "bowl", oldest.file))
    record.add(replace(entry(folder, "bowl-0002", Verdict.SOFT, 1), row=newest.row))
    assert [one.path for one in record.frames() if one.unfinished] == [Path("bowl.jpg")]
    record.finish(oldest.row)
    assert not any(one.unfinished for one in record.frames())


def test_a_frame_that_is_removed_leaves_nothing_and_readers_hear_of_it(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    row = record.add(replace(entry(folder, "bowl-0001", Verdict.SOFT), unfinished=True))
    record.add(entry(folder, "bowl-0002"))
    last = reader.rows_since(0)[-1].revision
    record.remove(row)
    assert reader.removed_since(last) == [row]
    assert [one.name for one in reader.rows_since(0)] == ["bowl-0002"]
    opened = sqlite3.connect(folder / NAME)
    for table in ("crops", "unfinished"):
        found = opened.execute(f"SELECT count(*) FROM {table} WHERE frame = ?", (row,))
        assert found.fetchone() == (0,)


def test_the_evidence_says_how_large_the_frame_is_and_which_way_up(folder: Path) -> None:
    made = entry(folder, "bowl-0001", Verdict.SOFT)
    around = Around((Rect(1, 2, 3, 4), EdgeWidth(2, 1.5, 2.5)), moved=1, still=2, looked=9)
    eyes = (
        Eye(Part.RIGHT_EYE, Rect(100, 100, 150, 150), EdgeWidth(3.1, 2.6, 3.7)),
        Eye(Part.LEFT_EYE, Rect(400, 110, 150, 150)),
    )
    told = replace(made.judgement, size=(6000, 4000), orientation=6, around=around, eyes=eyes)
    Record(folder).add(replace(made, judgement=told))
    reader = Reader(folder)
    evidence = reader.evidence(1)
    assert (evidence.size, evidence.orientation) == ((6000, 4000), 6)
    assert (evidence.around, evidence.eyes) == (around, eyes)
    assert reader.evidence(99) == FrameEvidence()


def test_a_reader_is_told_of_what_is_new_only(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    record.add(entry(folder, "bowl-0001"))
    assert reader.changed()
    assert not reader.changed()
    last = reader.rows_since(0)[-1].revision
    record.add(entry(folder, "bowl-0002"))
    assert reader.changed()
    assert [row.name for row in reader.rows_since(last)] == ["bowl-0002"]


def test_a_frame_saved_anew_is_the_same_row_with_its_new_verdict(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    row = record.add(entry(folder, "bowl-0001", Verdict.SOFT))
    record.add(entry(folder, "bowl-0002"))
    record.add(replace(entry(folder, "bowl-0001", Verdict.SHARP), row=row))
    rows = reader.rows_since(0)
    assert {(row.name, row.verdict) for row in rows} == {
        ("bowl-0001", "sharp"),
        ("bowl-0002", "sharp"),
    }
    assert rows[-1].name == "bowl-0001"


def test_names_that_are_no_text_are_kept_to_the_byte(folder: Path) -> None:
    odd = Path(os.fsdecode(b"bowl\n\x1b[31m\xff.jpg"))
    record = Record(folder)
    record.add(replace(entry(folder, "bowl"), path=odd))
    assert [one.path for one in record.frames()] == [odd]


def test_a_raw_that_had_a_line_of_its_own_becomes_its_jpegs_frame(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    raw = replace(entry(folder, "bowl"), path=Path("bowl.dng"))
    row = record.add(raw)
    record.add(replace(entry(folder, "bowl"), raws=((raw.path, raw.file),), row=row))
    assert len(reader.rows_since(0)) == 1
    assert raws(folder) == {Path("bowl.jpg"): [Path("bowl.dng")]}


def test_a_file_is_named_by_one_frame_alone(folder: Path) -> None:
    record = Record(folder)
    first, other = entry(folder, "bowl"), entry(folder, "jug", nth=1)
    record.add(first)
    record.add(replace(other, raws=((first.path, first.file),)))
    record.add(replace(entry(folder, "cup", nth=2), path=other.path))
    found = [(one.path, [path for path, _ in one.raws]) for one in record.frames()]
    assert found == [(None, []), (None, [first.path]), (other.path, [])]


def test_a_file_renamed_keeps_its_verdict(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    made = entry(folder, "bowl-0001", Verdict.SOFT)
    record.renew(Place(record.add(made), Path("jug.jpg"), "jug", made.file))
    (row,) = reader.rows_since(0)
    assert (row.name, row.verdict) == ("jug", "soft")
    told = reader.frame(row.id)
    assert told is not None
    assert told["file"] == str(folder / "jug.jpg")


def test_files_passed_over_are_known_until_taken_back(folder: Path) -> None:
    record = Record(folder)
    file = FileIdentity(1, 2, 3, 4)
    record.pass_over([(Path("old.jpg"), file)])
    assert record.passed_over() == [(Path("old.jpg"), file)]
    record.move_passed_over([(Path("old.jpg"), Path("older.jpg"), file)])
    assert record.passed_over() == [(Path("older.jpg"), file)]
    record.take_back()
    assert record.passed_over() == []


def test_a_record_of_a_newer_program_is_left_alone(folder: Path) -> None:
    Record(folder).add(entry(folder, "bowl"))
    opened = sqlite3.connect(folder / NAME)
    opened.execute("PRAGMA user_version = 99")
    opened.close()
    with pytest.raises(RecordError, match="newer tether"):
        Record(folder).open()


def test_a_damaged_record_says_so_and_is_not_overwritten(folder: Path) -> None:
    (folder / NAME).write_bytes(b"not a database" * 1000)
    with pytest.raises(RecordError, match=NAME):
        Record(folder).open()
    assert (folder / NAME).read_bytes() == b"not a database" * 1000


def test_a_full_disk_is_an_error_and_what_was_there_stays(folder: Path) -> None:
    record = Record(folder)
    record.add(entry(folder, "bowl-0001"))
    # SQLite's own bound gives the very error of a full disk; a real one is tested with the watch.
    opened = record._ready()
    opened.execute(f"PRAGMA max_page_count = {opened.execute('PRAGMA page_count').fetchone()[0]}")
    big = entry(folder, "bowl-0002")
    big = replace(big, judgement=replace(big.judgement, crop=b"x" * 100_000))
    with pytest.raises(RecordError, match="full"):
        record.add(big)
    assert [row.name for row in Reader(folder).rows_since(0)] == ["bowl-0001"]


def test_a_record_that_went_away_with_its_card_is_opened_again(folder: Path) -> None:
    record, reader = Record(folder), Reader(folder)
    record.add(entry(folder, "bowl-0001"))
    away = folder.rename(folder.with_name("away"))
    with pytest.raises(RecordError, match="gone"):
        record.add(entry(folder, "bowl-0002"))
    with pytest.raises(RecordError, match="no record"):
        reader.rows_since(0)
    away.rename(folder)
    record.add(entry(folder, "bowl-0002"))
    assert len(reader.rows_since(0)) == 2


def test_a_reader_sees_whether_anybody_watches(folder: Path) -> None:
    from tether.session.lock import AlreadyWatched, Lock

    Record(folder).tell(WatchState(waiting=3))
    reader = Reader(folder)
    assert reader.state().waiting == 3
    assert not reader.watched()
    with Lock(folder):
        assert reader.watched()
        with pytest.raises(AlreadyWatched), Lock(folder):
            pass
    assert not reader.watched()


_WRITER = """
import sys
from pathlib import Path
from tests.session.made import entry
from tether.session.record import Record
folder = Path(sys.argv[1])
record = Record(folder)
for number in range(100000):
    record.add(entry(folder, f"bowl-{number:05}", nth=number))
    print(number, flush=True)
"""


@pytest.mark.parametrize("after_s", [0.05, 0.2, 0.4])
def test_killed_at_any_instant_it_holds_all_that_was_recorded(folder: Path, after_s: float) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", _WRITER, str(folder)], stdout=subprocess.PIPE, text=True
    ) as writer:
        until((folder / NAME).exists)
        time.sleep(after_s)
        writer.send_signal(signal.SIGKILL)
        assert writer.stdout is not None
        said = [int(line) for line in writer.stdout.read().split()]
    held = sorted(row.name for row in Reader(folder).rows_since(0)) if said else []
    wanted = [f"bowl-{number:05}" for number in said]
    # The one in hand may be in the record without having been told of yet.
    assert held[: len(wanted)] == wanted
    assert len(held) <= len(wanted) + 1
    Record(folder).add(entry(folder, "one-more"))
