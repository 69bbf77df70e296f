"""A picture keeps being one picture when its name changes."""

import time
from pathlib import Path

from tests.arrivals.conftest import Watch
from tests.arrivals.inbox import Inbox, at_rest, wait_for
from tests.arrivals.pictures import jpeg
from tether.arrivals.source import Renamed


def names_told(inbox: Inbox) -> list[str]:
    """Return the names of pictures as they were delivered, then as they were renamed."""
    told = inbox.paths + [renamed.new for renamed in inbox.renames]
    return [path.name for path in told]


def test_files_written_under_temporary_names_are_delivered_under_their_own(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    (folder / ".incoming").mkdir()
    finals = []
    for number, temporary in enumerate((".a.jpg", "a.jpg.part", "a.tmp", ".incoming/a.jpg")):
        finals.append(folder / f"{number}.jpg")
        (folder / temporary).write_bytes(jpeg())
        (folder / temporary).rename(finals[-1])
    inbox.until(*finals)
    at_rest(source)
    assert inbox.paths == finals
    assert len(inbox.all) == 4


def test_renamed_before_it_was_whole_only_the_last_name_is_delivered(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    with (folder / "temp-a.jpg").open("wb", buffering=0) as file:
        file.write(jpeg()[:-2])
        time.sleep(0.1)
        (folder / "temp-a.jpg").rename(folder / "a.jpg")
        file.write(b"\xff\xd9")
    inbox.until(folder / "a.jpg")
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg"]
    assert len(inbox.all) == 1


def test_written_and_renamed_at_once_it_is_one_picture_however_the_race_ends(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    for number in range(30):
        temporary = folder / f"temp-{number}.jpg"
        temporary.write_bytes(jpeg())
        temporary.rename(folder / f"{number}.jpg")
    assert wait_for(lambda: names_told(inbox).count("29.jpg") == 1)
    at_rest(source)
    assert len(inbox.wholes) == 30
    for renamed in inbox.renames:
        assert renamed.old in inbox.paths
    told = names_told(inbox)
    assert all(told.count(f"{number}.jpg") == 1 for number in range(30))


def test_a_delivered_picture_that_is_renamed_is_not_delivered_again(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    (folder / "a.jpg").rename(folder / "b.jpg")
    assert wait_for(lambda: bool(inbox.renames))
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg"]
    assert inbox.renames == [Renamed(folder / "a.jpg", folder / "b.jpg")]


def test_a_rename_is_noticed_without_events(folder: Path, watch: Watch) -> None:
    source, inbox = watch(polling=True)
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    (folder / "a.jpg").rename(folder / "b.jpg")
    assert wait_for(lambda: bool(inbox.renames))
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg"]


def test_another_content_moved_over_a_delivered_name_is_delivered(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg(30_000))
    inbox.until(folder / "a.jpg")
    (folder / "a.tmp").write_bytes(jpeg(31_000))
    (folder / "a.tmp").rename(folder / "a.jpg")
    assert wait_for(lambda: len(inbox.wholes) == 2)
    at_rest(source)
    assert [whole.size for whole in inbox.wholes] == [30_000, 31_000]


def test_a_renamed_subfolder_renames_its_pictures(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    (folder / "one").mkdir()
    for number in range(5):
        (folder / "one" / f"{number}.jpg").write_bytes(jpeg())
    inbox.until(*(folder / "one" / f"{number}.jpg" for number in range(5)))
    (folder / "one").rename(folder / "two")
    assert wait_for(lambda: len(inbox.renames) == 5)
    (folder / "two" / "new.jpg").write_bytes(jpeg())
    inbox.until(folder / "two" / "new.jpg")
    at_rest(source)
    assert len(inbox.wholes) == 6
    assert {renamed.new.parent for renamed in inbox.renames} == {folder / "two"}


def test_a_picture_moved_out_and_back_is_not_delivered_again(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    source, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    (folder / "a.jpg").rename(tmp_path / "a.jpg")
    at_rest(source)
    (tmp_path / "a.jpg").rename(folder / "a.jpg")
    at_rest(source)
    assert len(inbox.all) == 1
