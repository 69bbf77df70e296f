"""Every way in which a whole picture comes into a folder, and each is delivered once."""

import os
import shutil
import sys
import time
from pathlib import Path

from tests.arrivals.conftest import Watch
from tests.arrivals.inbox import at_rest, wait_for
from tests.arrivals.pictures import jpeg, png, tiff


def test_pictures_there_at_the_start_are_delivered_once(folder: Path, watch: Watch) -> None:
    paths = [folder / "a.jpg", folder / "b.png", folder / "c.tif", folder / "sub" / "d.NEF"]
    (folder / "sub").mkdir()
    for path, content in zip(paths, (jpeg(), png(), tiff(), tiff()), strict=True):
        path.write_bytes(content)
    (folder / "notes.xmp").write_text("")
    (folder / ".hidden.jpg").write_bytes(jpeg())
    source, inbox = watch()
    inbox.until(*paths)
    at_rest(source)
    assert sorted(inbox.paths) == sorted(paths)


def test_the_delivery_tells_size_and_time_of_the_file(folder: Path, watch: Watch) -> None:
    _, inbox = watch()
    before = time.monotonic()
    (folder / "a.jpg").write_bytes(jpeg(12_345))
    inbox.until(folder / "a.jpg")
    (whole,) = inbox.wholes
    assert whole.file.size == 12_345
    assert whole.file.mtime_ns == (folder / "a.jpg").stat().st_mtime_ns
    assert before <= whole.found <= time.monotonic()
    assert abs(whole.when.timestamp() - time.time()) < 60


def test_a_file_written_slowly_is_delivered_when_it_is_closed(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    content = jpeg(60_000)
    with (folder / "a.jpg").open("wb", buffering=0) as file:
        for start in range(0, len(content), 2_000):
            file.write(content[start : start + 2_000])
            time.sleep(0.02)
            assert start + 2_000 >= len(content) or not inbox.all
    inbox.until(folder / "a.jpg")
    at_rest(source)
    assert [whole.file.size for whole in inbox.wholes] == [60_000]


def test_a_file_appended_in_steps_is_delivered_when_it_is_whole(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    content = jpeg(50_000)
    for start in range(0, len(content), 10_000):
        assert not inbox.all
        with (folder / "a.jpg").open("ab") as file:
            file.write(content[start : start + 10_000])
        time.sleep(0.05)
    inbox.until(folder / "a.jpg")
    at_rest(source)
    assert [whole.file.size for whole in inbox.wholes] == [50_000]


def test_a_whole_jpeg_that_nobody_closes_is_delivered_soon(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    with (folder / "a.jpg").open("wb", buffering=0) as file:
        file.write(jpeg())
        inbox.until(folder / "a.jpg", seconds=3)
    at_rest(source)
    assert len(inbox.all) == 1


def test_empty_files_and_a_cut_one_are_delivered_when_patience_ends(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch(patience=0.5)
    paths = [folder / name for name in ("a.jpg", "a.tif", "a.cr3")]
    began = time.monotonic()
    for path in paths:
        path.touch()
    (folder / "cut.jpg").write_bytes(jpeg()[:-1000])
    inbox.until(*paths, folder / "cut.jpg")
    assert min(whole.found for whole in inbox.wholes) - began >= 0.5
    at_rest(source)
    assert len(inbox.all) == 4


def test_a_copy_is_delivered_once(folder: Path, tmp_path: Path, watch: Watch) -> None:
    (tmp_path / "a.jpg").write_bytes(jpeg(5_000_000))
    source, inbox = watch()
    shutil.copy2(tmp_path / "a.jpg", folder / "a.jpg")
    inbox.until(folder / "a.jpg")
    at_rest(source)
    assert inbox.wholes[-1].file.size == 5_000_000
    # A copy sets the time of change after the last byte: only then is it what it was.
    assert len({(whole.file.size, whole.file.mtime_ns) for whole in inbox.wholes}) == len(
        inbox.wholes
    )


def test_a_file_moved_in_from_outside_is_delivered_once(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    for name in ("a.jpg", "b.tif"):
        (tmp_path / name).write_bytes(jpeg() if name == "a.jpg" else tiff())
    source, inbox = watch()
    for name in ("a.jpg", "b.tif"):
        (tmp_path / name).rename(folder / name)
    inbox.until(folder / "a.jpg", folder / "b.tif")
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg", folder / "b.tif"]


def test_a_hard_link_is_delivered_as_a_file_of_its_own(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    (tmp_path / "outside.jpg").write_bytes(jpeg())
    source, inbox = watch()
    (folder / "a.jpg").hardlink_to(tmp_path / "outside.jpg")
    inbox.until(folder / "a.jpg")
    (folder / "b.jpg").hardlink_to(folder / "a.jpg")
    inbox.until(folder / "b.jpg")
    at_rest(source)
    assert inbox.paths == [folder / "a.jpg", folder / "b.jpg"]


def test_a_file_saved_again_is_delivered_again_and_the_last_content_last(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch()
    path = folder / "a.jpg"

    def last_size() -> int:
        return inbox.wholes[-1].file.size if inbox.wholes else 0

    for size in (30_000, 20_000, 40_000):
        path.write_bytes(jpeg(size))
        assert wait_for(lambda size=size: last_size() == size)  # type: ignore[misc]
    for size in (50_000, 60_000):
        path.write_bytes(jpeg(size))
    at_rest(source)
    last = inbox.wholes[-1]
    assert (last.file.size, last.file.mtime_ns) == (60_000, path.stat().st_mtime_ns)


def test_a_save_that_changes_nothing_is_not_delivered(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    path = folder / "a.jpg"
    path.write_bytes(jpeg())
    inbox.until(path)
    with path.open("ab"):
        pass
    path.chmod(0o600)
    at_rest(source)
    assert len(inbox.all) == 1


def test_a_burst_of_two_hundred_loses_none_and_doubles_none(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    content = jpeg(20_000)
    paths = [folder / f"{number:04}.jpg" for number in range(200)]
    for path in paths:
        path.write_bytes(content)
    inbox.until(*paths, seconds=20)
    at_rest(source)
    assert sorted(inbox.paths) == paths


def test_a_file_deleted_before_it_is_whole_is_never_delivered(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    for number in range(20):
        path = folder / f"{number}.jpg"
        path.write_bytes(jpeg()[:-2])
        path.unlink()
    (folder / "last.jpg").write_bytes(jpeg())
    inbox.until(folder / "last.jpg")
    at_rest(source)
    assert inbox.paths == [folder / "last.jpg"]


def test_any_name_the_file_system_takes_is_delivered_as_it_is(folder: Path, watch: Watch) -> None:
    source, inbox = watch()
    names = [
        b"line\nbreak.jpg",
        b"\x1b[31mred\x1b]0;title\x07.jpg",
        b" blank .jpg",
        b"-rf.jpg",
        "ünïcode 写真.jpg".encode(),
        b"x" * 250 + b".jpg",
    ]
    if sys.platform == "linux":
        names.append(b"latin \xe9\xff.jpg")
    for name in names:
        Path(os.fsdecode(os.fsencode(folder) + b"/" + name)).write_bytes(jpeg())
    assert wait_for(lambda: len(inbox.all) >= len(names))
    at_rest(source)
    assert [os.fsencode(path.name) for path in inbox.paths] == names


def test_a_whole_jpeg_is_delivered_at_once_when_it_is_closed(folder: Path, watch: Watch) -> None:
    _, inbox = watch(sweep_s=30)
    took = []
    for number in range(15):
        path = folder / f"{number}.jpg"
        path.write_bytes(jpeg(200_000))
        closed = time.monotonic()
        inbox.until(path)
        took.append(inbox.wholes[-1].found - closed)
    assert sorted(took)[7] < 0.1


def test_two_thousand_pictures_at_rest_cost_next_to_nothing(folder: Path, watch: Watch) -> None:
    for number in range(2000):
        (folder / f"{number:04}.jpg").write_bytes(jpeg(500))
    source, _ = watch(sweep_s=1.0)
    assert wait_for(lambda: source.sweeps > 0 and not source.waiting)
    used, began, before = time.process_time(), time.monotonic(), source.sweeps
    assert wait_for(lambda: source.sweeps > before)
    # Waiting itself costs a little, and other work on the machine makes all of it dearer.
    assert time.process_time() - used < 0.1 * (time.monotonic() - began)
