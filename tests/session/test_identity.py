"""A frame is its file, whatever that is called and whatever happens to it meanwhile."""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path

import pytest

from tests.commands.test_watch import next_line, watching
from tests.pictures import write
from tests.session import oracle
from tests.session.agreeing import agrees, judged
from tests.session.held import Gate
from tests.session.oracle import pictures, raws
from tests.session.running import Begin

SHARP, SOFT, SHARP_2, SOFT_2, SHARP_3, SOFT_3 = pictures()
RAW, SOFT_RAW, RAW_2, _ = raws()

IN_2300_NS = 10_413_792_000 * 10**9  # past what 64 bits can count in ns, 2262-04-11
PACE_S = 0.4  # from one exposure to the next


def swap(one: Path, other: Path) -> None:
    aside = one.with_name(".aside")
    one.rename(aside)
    other.rename(one)
    aside.rename(other)


# A program's habits while judging is slower than it.


@pytest.mark.parametrize("read", [False, True])
def test_exposures_saved_as_one_name_and_renamed_have_their_own_verdicts(
    folder: Path, watched: Begin, gate: Gate, read: bool
) -> None:
    running = watched(oracle.settings())
    gate.hold(read=read)
    for nth, content in enumerate((SHARP, SOFT, SHARP_2, SOFT_2)):
        (folder / "capture.jpg").write_bytes(content)
        time.sleep(PACE_S)
        (folder / "capture.jpg").rename(folder / f"bowl-{nth}.jpg")
        time.sleep(PACE_S)
    gate.open()
    agrees(running)


def test_a_frame_whose_name_is_the_next_ones_before_it_is_read_keeps_its_own_verdict(
    folder: Path, watched: Begin, gate: Gate
) -> None:
    running = watched(oracle.settings())
    gate.hold()
    write(folder / "capture.jpg", SHARP)
    gate.until_begun(1)
    (folder / "capture.jpg").rename(folder / "bowl.jpg")
    time.sleep(PACE_S)
    (folder / ".next").write_bytes(SOFT)
    (folder / "capture.jpg").hardlink_to(folder / ".next")
    gate.open()  # before anybody has looked at it twice
    agrees(running)


@pytest.mark.parametrize("read", [False, True])
def test_a_file_renamed_twice_while_it_is_judged_has_its_last_name(
    folder: Path, watched: Begin, gate: Gate, read: bool
) -> None:
    running = watched(oracle.settings())
    gate.hold(read=read)
    write(folder / "tmp.jpg", SHARP)
    gate.until_begun(1)
    for old, new in (("tmp", "middle"), ("middle", "bowl")):
        (folder / f"{old}.jpg").rename(folder / f"{new}.jpg")
        time.sleep(PACE_S)
    gate.open()
    agrees(running)


@pytest.mark.parametrize("read", [False, True])
def test_two_files_swapped_while_they_are_judged_keep_their_verdicts(
    folder: Path, watched: Begin, gate: Gate, read: bool
) -> None:
    running = watched(oracle.settings())
    gate.hold(read=read)
    write(folder / "a.jpg", SHARP)
    write(folder / "b.jpg", SOFT)
    gate.until_begun(2)
    swap(folder / "a.jpg", folder / "b.jpg")
    time.sleep(PACE_S)
    gate.open()
    agrees(running)


def test_two_judged_files_swapped_keep_their_verdicts(folder: Path, watched: Begin) -> None:
    running = judged(folder, watched, "a.jpg", "b.jpg")
    swap(folder / "a.jpg", folder / "b.jpg")
    agrees(running)


@pytest.mark.parametrize("in_place", [False, True])
@pytest.mark.parametrize("read", [False, True])
def test_overwritten_while_it_is_judged_it_has_the_verdict_of_what_stands_there(
    folder: Path, watched: Begin, gate: Gate, read: bool, in_place: bool
) -> None:
    running = watched(oracle.settings())
    gate.hold(read=read)
    write(folder / "bowl.jpg", SHARP)
    gate.until_begun(1)
    if in_place:
        (folder / "bowl.jpg").write_bytes(SOFT)
    else:
        write(folder / "bowl.jpg", SOFT)
    time.sleep(PACE_S)
    gate.open()
    agrees(running)


def test_renamed_onto_a_judged_file_it_takes_its_place(folder: Path, watched: Begin) -> None:
    running = judged(folder, watched, "a.jpg", "b.jpg")
    (folder / "a.jpg").replace(folder / "b.jpg")
    agrees(running)


def test_another_file_of_the_same_size_and_time_in_its_place_is_judged(
    folder: Path, watched: Begin
) -> None:
    running = judged(folder, watched, "bowl.jpg")
    stands = (folder / "bowl.jpg").stat()
    (folder / ".part").write_bytes(SOFT)
    os.utime(folder / ".part", ns=(stands.st_mtime_ns, stands.st_mtime_ns))
    (folder / ".part").replace(folder / "bowl.jpg")
    after = (folder / "bowl.jpg").stat()
    assert (stands.st_size, stands.st_mtime_ns) == (after.st_size, after.st_mtime_ns)
    agrees(running)


# Other names, other folders, other links.


def test_moved_out_and_back_under_another_name_it_is_one_frame(
    folder: Path, watched: Begin, tmp_path: Path
) -> None:
    running = judged(folder, watched, "bowl.jpg")
    (folder / "bowl.jpg").rename(tmp_path / "elsewhere.jpg")
    time.sleep(PACE_S)
    (tmp_path / "elsewhere.jpg").rename(folder / "cup.jpg")
    agrees(running)


def test_hard_links_and_copies_are_frames_of_their_own(folder: Path, watched: Begin) -> None:
    running = judged(folder, watched, "bowl.jpg")
    (folder / "link.jpg").hardlink_to(folder / "bowl.jpg")
    shutil.copy2(folder / "bowl.jpg", folder / "copy.jpg")
    agrees(running)
    (folder / "bowl.jpg").unlink()
    agrees(running)


def test_a_link_to_a_picture_is_a_frame_by_its_own_name(folder: Path, watched: Begin) -> None:
    (folder / ".store").mkdir()
    for name, content in (("1.jpg", SHARP), ("2.jpg", SOFT)):
        (folder / ".store" / name).write_bytes(content)
    running = watched(oracle.settings())
    (folder / "bowl.jpg").symlink_to(folder / ".store" / "1.jpg")
    agrees(running)
    (folder / "bowl.jpg").rename(folder / "cup.jpg")
    agrees(running)
    (folder / ".link").symlink_to(folder / ".store" / "2.jpg")
    (folder / ".link").replace(folder / "cup.jpg")
    agrees(running)


# While nobody watches.


@pytest.mark.parametrize("to", ["cup.jpg", "set one/bowl.jpg"])
def test_a_judged_frame_moved_while_nobody_watches_is_the_same_frame(
    folder: Path, watched: Begin, to: str
) -> None:
    judged(folder, watched, "bowl.jpg").end()
    (folder / "set one").mkdir()
    (folder / "bowl.jpg").rename(folder / to)
    again = watched(oracle.settings())
    write(folder / "later.jpg", SOFT_2)
    agrees(again)
    (moved,) = (row for row in oracle.recorded(folder) if row.path == Path(to))
    assert moved.number == 1
    assert len(oracle.recorded(folder)) == 2
    again.end()
    assert again.names() == ["later"]


def test_pictures_passed_over_and_moved_while_nobody_watches_are_no_news(folder: Path) -> None:
    (folder / "set one").mkdir()
    for name, content in (("a.jpg", SHARP), ("b.jpg", SOFT), ("c.dng", RAW)):
        write(folder / name, content)
    with watching(folder) as running:
        running.terminate()
        assert running.wait(20) == 0
    (folder / "a.jpg").rename(folder / "d.jpg")
    (folder / "b.jpg").rename(folder / "set one" / "b.jpg")
    (folder / "c.dng").rename(folder / "e.dng")
    with watching(folder) as running:
        (folder / "set one" / "b.jpg").rename(folder / "f.jpg")
        write(folder / "new.jpg", SHARP_2)
        assert next_line(running)["frame"] == "new"
        running.terminate()
        assert running.stdout is not None
        assert running.stdout.read() == ""
    assert [row.path for row in oracle.recorded(folder)] == [Path("new.jpg")]


# Times of change that no number in the record can hold.


def test_a_file_of_the_far_future_is_judged_and_known_again(folder: Path, watched: Begin) -> None:
    running = watched(oracle.settings())
    (folder / ".part").write_bytes(SHARP)
    os.utime(folder / ".part", ns=(IN_2300_NS, IN_2300_NS))
    (folder / ".part").rename(folder / "bowl.jpg")
    assert (folder / "bowl.jpg").stat().st_mtime_ns == IN_2300_NS
    write(folder / "cup.jpg", SOFT)
    agrees(running)
    running.end()
    again = watched(oracle.settings())
    write(folder / "later.jpg", SHARP_2)
    agrees(again)
    again.end()
    assert again.names() == ["later"]


def test_a_file_of_the_far_future_can_be_passed_over(folder: Path) -> None:
    write(folder / "before.jpg", SHARP)
    os.utime(folder / "before.jpg", ns=(IN_2300_NS, IN_2300_NS))
    for nth in range(2):
        with watching(folder) as running:
            write(folder / f"new-{nth}.jpg", SHARP)
            assert next_line(running)["frame"] == f"new-{nth}"
            running.terminate()
            assert running.wait(20) == 0
    names = {str(row.path) for row in oracle.recorded(folder)}
    assert names == {"new-0.jpg", "new-1.jpg"}
