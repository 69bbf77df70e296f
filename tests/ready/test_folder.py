"""The folder is written to, and left as it was."""

from __future__ import annotations

import ctypes
import os
import threading
from pathlib import Path

from tests.arrivals.inbox import Inbox, at_rest
from tests.pictures import jpeg, portrait, write
from tether.arrivals.folder import FolderSource
from tether.ready import folder as looked_at
from tether.verdict.checked import Check, State


def test_it_is_written_fast_enough_and_left_as_it_was(folder: Path) -> None:
    picture = folder / "bowl.jpg"
    picture.write_bytes(b"a picture")
    before = (picture.stat(), list(folder.iterdir()))
    can, fast = looked_at.written(folder)
    assert can.state is State.GOOD
    assert fast.found.endswith(" MB/s")
    assert (picture.stat(), list(folder.iterdir())) == before


def test_a_folder_that_cannot_be_written_is_wrong(folder: Path) -> None:
    found: list[Check] = []

    def as_somebody_else() -> None:
        # Root may write anywhere; a thread whose file-system user is nobody may not.
        if os.geteuid() == 0:
            ctypes.CDLL(None).setfsuid(65534)
        found.extend(looked_at.written(folder))

    folder.chmod(0o500)
    try:
        thread = threading.Thread(target=as_somebody_else)
        thread.start()
        thread.join()
    finally:
        folder.chmod(0o700)
    (wrong,) = found
    assert wrong.state is State.WRONG
    assert "ermission denied" in wrong.found
    assert wrong.change


def test_a_folder_that_goes_away_is_wrong(folder: Path) -> None:
    folder.rmdir()
    (found,) = looked_at.written(folder)
    assert found.state is State.WRONG
    assert "No such file" in found.found


def test_a_watch_does_not_see_the_test_file(folder: Path) -> None:
    inbox = Inbox()
    source = FolderSource(folder)
    source.start(inbox)
    try:
        at_rest(source)
        for _ in range(3):
            looked_at.written(folder)
        write(folder / "after.jpg", jpeg(portrait()))
        inbox.until(folder / "after.jpg")
    finally:
        source.stop()
    assert inbox.paths == [folder / "after.jpg"]


def test_several_may_look_at_once(folder: Path) -> None:
    found: list[State] = []
    threads = [
        threading.Thread(target=lambda: found.append(looked_at.written(folder)[0].state))
        for _ in range(3)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [State.GOOD] * 3
    assert list(folder.iterdir()) == []


def test_a_frame_is_as_large_as_those_there_raw_included(folder: Path) -> None:
    assert looked_at.frame_bytes(folder) == looked_at.ASSUMED_BYTES
    for name, size in (("a.jpg", 100), ("a.nef", 500), ("b.jpg", 200), ("notes.txt", 10_000)):
        (folder / name).write_bytes(bytes(size))
    assert looked_at.frame_bytes(folder) == 400


def test_room_on_the_disk_is_the_systems_own_count(folder: Path) -> None:
    # statvfs (POSIX) beside it.
    told = os.statvfs(folder)
    free = told.f_bavail * told.f_frsize
    found = looked_at.disk(folder, free / 50.5)
    assert found.state is State.WRONG
    assert "room for 50 frames" in found.found or "room for 49 frames" in found.found
    assert looked_at.disk(folder, free / 5000).state is State.GOOD
