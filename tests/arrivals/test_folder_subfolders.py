"""Subfolders are watched as the folder is; links lead nowhere."""

from pathlib import Path

from tests.arrivals.conftest import Watch
from tests.arrivals.inbox import at_rest
from tests.arrivals.pictures import jpeg


def fill(where: Path, count: int = 20) -> list[Path]:
    """Make a folder with pictures in it and below it."""
    (where / "deep" / "deeper").mkdir(parents=True)
    paths = []
    for number in range(count):
        inside = (where, where / "deep", where / "deep" / "deeper")[number % 3]
        paths.append(inside / f"{number}.jpg")
        paths[-1].write_bytes(jpeg(5_000))
    return paths


def test_a_new_subfolder_filled_at_once_loses_none(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    paths = fill(folder / "new")
    inbox.until(*paths)
    at_rest(source)
    assert sorted(inbox.paths) == sorted(paths)


def test_a_subfolder_moved_in_brings_its_pictures_and_is_watched(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    outside = fill(tmp_path / "card")
    source, inbox = watch()
    (tmp_path / "card").rename(folder / "card")
    paths = [folder / path.relative_to(tmp_path) for path in outside]
    inbox.until(*paths)
    (folder / "card" / "deep" / "late.jpg").write_bytes(jpeg())
    inbox.until(folder / "card" / "deep" / "late.jpg")
    at_rest(source)
    assert sorted(inbox.paths) == sorted([*paths, folder / "card" / "deep" / "late.jpg"])
    assert not inbox.lines


def test_a_subfolder_deleted_while_it_fills_does_no_harm(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    for _ in range(5):
        paths = fill(folder / "brief")
        for path in paths:
            path.unlink()
        (folder / "brief" / "deep" / "deeper").rmdir()
        (folder / "brief" / "deep").rmdir()
        (folder / "brief").rmdir()
    (folder / "last.jpg").write_bytes(jpeg())
    inbox.until(folder / "last.jpg")
    at_rest(source)
    assert inbox.paths.count(folder / "last.jpg") == 1


def test_hidden_subfolders_are_passed_over_until_they_are_shown(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    (folder / ".incoming").mkdir()
    (folder / ".incoming" / "a.jpg").write_bytes(jpeg())
    at_rest(source)
    assert not inbox.all
    (folder / ".incoming").rename(folder / "come")
    inbox.until(folder / "come" / "a.jpg")
    at_rest(source)
    assert len(inbox.all) == 1


def test_a_link_to_a_picture_is_delivered_as_it_is(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    (tmp_path / "outside.jpg").write_bytes(jpeg())
    source, inbox = watch()
    (folder / "link.jpg").symlink_to(tmp_path / "outside.jpg")
    (folder / "broken.jpg").symlink_to(tmp_path / "nowhere.jpg")
    inbox.until(folder / "link.jpg")
    at_rest(source)
    assert inbox.paths == [folder / "link.jpg"]


def test_links_to_folders_are_not_entered_and_loop_nowhere(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    fill(tmp_path / "outside")
    (folder / "loop").symlink_to(folder)
    source, inbox = watch()
    (folder / "sub").mkdir()
    (folder / "sub" / "up").symlink_to(folder)
    (folder / "out").symlink_to(tmp_path / "outside")
    (folder / "sub" / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "sub" / "a.jpg")
    at_rest(source)
    assert inbox.paths == [folder / "sub" / "a.jpg"]


def test_a_folder_given_as_a_link_is_watched_and_keeps_the_name_given(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    (tmp_path / "link").symlink_to(folder)
    source, inbox = watch(tmp_path / "link", sweep_s=30)
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(tmp_path / "link" / "a.jpg", seconds=3)
    assert len(inbox.all) == 1
    assert source.folder == tmp_path / "link"
