"""What happens to files, told to the frames in hand in an order that a folder gives rarely."""

from __future__ import annotations

import time
from datetime import datetime
from pathlib import Path

from tests.pictures import grey, jpeg, write
from tether.arrivals.source import Whole
from tether.arrivals.whole import look_at
from tether.frame.file import digest
from tether.session.frame_in_hand import State
from tether.session.frames import Frames
from tether.session.frames_in_hand import GRACE_S
from tether.session.roots import Roots


def whole(path: Path) -> Whole:
    seen = look_at(str(path))
    assert seen is not None
    return Whole(path, seen, time.monotonic(), datetime.now().astimezone())


def test_one_of_two_links_that_is_renamed_twice_at_once_stays_one_frame(folder: Path) -> None:
    now = [100.0]
    frames = Frames(Roots(folder), 1.0, lambda: now[0])
    content = jpeg(grey())
    plate, cup, between, bowl = (folder / f"{name}.jpg" for name in ("plate", "cup", "tmp", "bowl"))
    write(plate, content)
    cup.hardlink_to(plate)
    for path in (plate, cup):
        frames.seen(whole(path))
    rows = {}
    for row, frame in enumerate(frames.changes().ask.values(), 1):
        frames.judged(frame, digest(content))
        frames.settled(frame, looked_through=True)
        frames.recorded(frame, row)
        rows[frame.path] = frame
    cup.rename(between)
    there = whole(between)
    between.rename(bowl)  # before anybody has taken in that it was there
    frames.seen(there)
    frames.vanished(cup)
    frames.seen(whole(bowl))
    frames.vanished(between)
    now[0] += 2 * GRACE_S
    frames.tick()
    changes = frames.changes()
    assert (changes.ask, changes.gone, changes.remove) == ({}, [], [])
    assert (rows[cup].path, rows[cup].state, rows[cup].row) == (bowl, State.RECORDED, 2)
    assert (rows[plate].path, rows[plate].row) == (plate, 1)
