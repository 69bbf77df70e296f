"""What an earlier watch left in the record, as frames in hand."""

from __future__ import annotations

import time
from datetime import datetime
from pathlib import Path

from tether.frame.file import FileIdentity
from tether.session.frame_in_hand import FileInHand, FrameInHand, State, VerdictTimes
from tether.session.record import Recorded
from tether.session.roots import Roots


def frame(recorded: Recorded, number: int, roots: Roots) -> FrameInHand:
    """A frame as the record has it, under a number of this watch."""
    line = recorded.line
    times = VerdictTimes(
        datetime.fromisoformat(line["arrived"]),
        datetime.fromisoformat(line["judged"]),
        line["latency_ms"],
    )
    # A file whose place another has may have turned up elsewhere since.
    there = recorded.path is not None
    path = recorded.path if recorded.path is not None else Path(line["file"])
    return FrameInHand(
        number,
        FileInHand(roots.home / path, recorded.file, there),
        times.arrived,
        recorded.came,
        time.monotonic(),
        state=State.SECOND_LOOK if recorded.unfinished else State.RECORDED,
        raws=[file(path, identity, roots) for path, identity in recorded.raws],
        digest=recorded.digest,
        row=recorded.row,
        setup=recorded.setup,
        times=times,
        told=recorded.told,
    )


def file(path: Path, identity: FileIdentity, roots: Roots) -> FileInHand:
    """A file as the record names it."""
    return FileInHand(roots.home / path, identity)
