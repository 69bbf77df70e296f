"""A picture keeps being one picture when its name changes."""

import time
from pathlib import Path

from tests.arrivals.conftest import Watch
from tests.arrivals.inbox import Inbox, at_rest, wait_for
from tests.arrivals.pictures import jpeg
from tether.arrivals.folder import FolderSource
from tether.frame.file import identity


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
    inbox.until(*(folder / f"{number}.jpg" for number in range(30)))
    at_rest(source)
    # Each is one file, however many of its names were seen; a name that was has vanished.
    assert len({whole.file.inode for whole in inbox.wholes}) == 30
    left = set(inbox.paths) - set(inbox.vanished)
    assert left == {folder / f"{number}.jpg" for number in range(30)}


def test_a_delivered_picture_that_is_renamed_is_the_same_file_elsewhere(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    (folder / "a.jpg").rename(folder / "b.jpg")
    assert wait_for(lambda: bool(inbox.vanished))
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg", folder / "b.jpg"]
    assert inbox.wholes[0].file == inbox.wholes[1].file
    assert inbox.vanished == [folder / "a.jpg"]


def test_a_rename_is_noticed_without_events(folder: Path, watch: Watch) -> None:
    source, inbox = watch(polling=True)
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    (folder / "a.jpg").rename(folder / "b.jpg")
    assert wait_for(lambda: bool(inbox.vanished))
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg", folder / "b.jpg"]
    assert inbox.wholes[0].file == inbox.wholes[1].file


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
    assert [whole.file.size for whole in inbox.wholes] == [30_000, 31_000]


def test_a_renamed_subfolder_renames_its_pictures(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    (folder / "one").mkdir()
    for number in range(5):
        (folder / "one" / f"{number}.jpg").write_bytes(jpeg())
    inbox.until(*(folder / "one" / f"{number}.jpg" for number in range(5)))
    (folder / "one").rename(folder / "two")
    inbox.until(*(folder / "two" / f"{number}.jpg" for number in range(5)))
    (folder / "two" / "new.jpg").write_bytes(jpeg())
    inbox.until(folder / "two" / "new.jpg")
    assert wait_for(lambda: len(inbox.vanished) == 5)
    at_rest(source)
    assert len({whole.file for whole in inbox.wholes}) == 6


def test_a_picture_moved_out_and_back_is_the_same_file(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    source, inbox = watch()
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    (folder / "a.jpg").rename(tmp_path / "a.jpg")
    assert wait_for(lambda: inbox.vanished == [folder / "a.jpg"])
    (tmp_path / "a.jpg").rename(folder / "a.jpg")
    assert wait_for(lambda: len(inbox.wholes) == 2)
    at_rest(source)
    assert inbox.wholes[0].file == inbox.wholes[1].file


def test_a_folder_moved_out_takes_its_pictures_along(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    _, inbox = watch()
    (folder / "one").mkdir()
    (folder / "one" / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "one" / "a.jpg")
    (folder / "one").rename(tmp_path / "elsewhere")
    assert wait_for(lambda: inbox.vanished == [folder / "one" / "a.jpg"])


def test_what_is_known_is_not_delivered_and_what_has_gone_since_vanished(
    folder: Path,
) -> None:
    there, gone = folder / "a.jpg", folder / "b.jpg"
    for path in (there, gone):
        path.write_bytes(jpeg())
    known = {path: identity(path.stat()) for path in (there, gone)}
    gone.unlink()
    (folder / "c.jpg").write_bytes(jpeg())
    source, inbox = FolderSource(folder, patience=0.6), Inbox()
    source.start(inbox, known)
    try:
        inbox.until(folder / "c.jpg")
        assert wait_for(lambda: inbox.vanished == [gone])
        at_rest(source)
        assert inbox.paths == [folder / "c.jpg"]
    finally:
        source.stop()
