"""The folder may leave and come back; the source stays."""

import shutil
from pathlib import Path

from tests.arrivals.conftest import Watch
from tests.arrivals.doubles import recorded
from tests.arrivals.inbox import Inbox, at_rest, wait_for
from tests.arrivals.pictures import jpeg
from tether.arrivals.keeper import ANOTHER, BACK, GONE, NOT_YET
from tether.arrivals.source import Watching


def until_told(inbox: Inbox, *lines: Watching, seconds: float = 10.0) -> None:
    assert wait_for(lambda: len(inbox.lines) >= len(lines), seconds)
    assert inbox.lines == list(lines)


def test_renamed_away_and_back_nothing_is_delivered_twice(folder: Path, watch: Watch) -> None:
    events = recorded()
    source, inbox = watch(events=events)
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    away = folder.rename(folder.with_name("away"))
    until_told(inbox, Watching(False, GONE), seconds=2.5)
    assert wait_for(lambda: not events.made[-1].alive())
    (away / "b.jpg").write_bytes(jpeg())
    away.rename(folder)
    until_told(inbox, Watching(False, GONE), Watching(True, BACK))
    inbox.until(folder / "b.jpg")
    assert wait_for(lambda: len(events.made) == 2 and events.made[-1].alive())
    (folder / "c.jpg").write_bytes(jpeg())
    inbox.until(folder / "c.jpg")
    at_rest(source)
    assert [path.name for path in inbox.paths] == ["a.jpg", "b.jpg", "c.jpg"]
    assert len(inbox.lines) == 2


def test_deleted_and_made_again_it_is_watched_anew(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    shutil.rmtree(folder)
    until_told(inbox, Watching(False, GONE), seconds=2.5)
    folder.mkdir()
    until_told(inbox, Watching(False, GONE), Watching(True, BACK))
    (folder / "b.jpg").write_bytes(jpeg())
    inbox.until(folder / "b.jpg")
    at_rest(source)
    assert len(inbox.wholes) == 2


def test_deleted_and_made_again_between_two_looks_its_events_are_started_anew(
    folder: Path, watch: Watch
) -> None:
    events = recorded()
    _, inbox = watch(events=events, sweep_s=60)
    folder.rmdir()
    folder.mkdir()
    assert wait_for(lambda: len(events.made) == 2 and events.made[-1].alive())
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    assert all(line.there or line.line == GONE for line in inbox.lines)


def test_another_folder_in_its_place_is_watched_instead(folder: Path, watch: Watch) -> None:
    other = folder.with_name("other")
    other.mkdir()
    (other / "b.jpg").write_bytes(jpeg())
    _, inbox = watch()
    folder.rename(folder.with_name("away"))
    other.rename(folder)
    inbox.until(folder / "b.jpg")
    assert inbox.lines[-1].there
    assert inbox.lines[-1].line in (ANOTHER, BACK)


def test_a_folder_that_is_not_there_yet_is_waited_for(tmp_path: Path, watch: Watch) -> None:
    _, inbox = watch(tmp_path / "later")
    until_told(inbox, Watching(False, NOT_YET))
    (tmp_path / "later").mkdir()
    (tmp_path / "later" / "a.jpg").write_bytes(jpeg())
    until_told(inbox, Watching(False, NOT_YET), Watching(True, BACK))
    inbox.until(tmp_path / "later" / "a.jpg")


def test_a_file_that_was_being_written_when_the_folder_left_is_delivered_when_both_are_back(
    folder: Path, watch: Watch
) -> None:
    _, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg()[:-2])
    away = folder.rename(folder.with_name("away"))
    until_told(inbox, Watching(False, GONE), seconds=2.5)
    (away / "a.jpg").write_bytes(jpeg())
    away.rename(folder)
    inbox.until(folder / "a.jpg")
    assert len(inbox.wholes) == 1
