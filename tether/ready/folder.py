"""The session's folder: whether it can be written, how fast, and for how many frames."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from itertools import islice
from pathlib import Path

from tether.arrivals.sweep import pictures_below
from tether.ready.room import room
from tether.verdict.checked import Check, State

FOLDER, SPEED, DISK = "folder", "folder's speed", "disk"

ASSUMED_BYTES = 40e6
"""A raw of 30 and a JPEG of 10 MB, where the folder holds no frames: common practice, no source."""

SLOW_BYTES_S = 20e6
"""A frame of `ASSUMED_BYTES` takes two seconds; network shares and old cards are slower."""

_PREFIX = ".tether-ready-"
_PART = os.urandom(1 << 20)  # bytes that no disk can shrink
_MOST_PARTS = 32
_LONGEST_S = 2.0
_LOOKED_AT = 500


def written(folder: Path) -> list[Check]:
    """Write a hidden file of our own, as fast as it goes, and take it away again."""
    why = "frames and the record are written here"
    try:
        speed = _bytes_a_second(folder)
    except OSError as problem:
        found = f"cannot be written: {problem.strerror or problem}"
        return [Check(FOLDER, State.WRONG, found, why, "choose another folder, or free space")]
    whys = "frames are judged after they are written; a slow folder keeps them waiting"
    found = f"{speed / 1e6:.0f} MB/s"
    fast = speed >= SLOW_BYTES_S
    change = "" if fast else "use a folder on this computer's own disk"
    return [
        Check(FOLDER, State.GOOD, "can be written", why),
        Check(SPEED, State.GOOD if fast else State.LOOK, found, whys, change),
    ]


def disk(folder: Path, frame_bytes: float) -> Check:
    """For how many frames there is room on its disk."""
    free = shutil.disk_usage(folder).free
    why = "a full disk leaves frames on the card, unjudged"
    return room(
        DISK, int(free / frame_bytes), free, frame_bytes, why, "free space, or choose another disk"
    )


def frame_bytes(folder: Path) -> float:
    """Mean size of a frame in the folder, with its raw; `ASSUMED_BYTES` if it holds none."""
    sizes: dict[str, float] = {}
    frames = set()
    for path in islice(pictures_below(folder), _LOOKED_AT):
        try:
            sizes[str(path)] = path.stat().st_size
        except OSError:
            continue
        frames.add(path.with_suffix(""))
    return sum(sizes.values()) / len(frames) if frames else ASSUMED_BYTES


def _bytes_a_second(folder: Path) -> float:
    # A new name each time, made exclusively, hidden: the watch passes it over, nothing is touched.
    with tempfile.NamedTemporaryFile(prefix=_PREFIX, suffix=".part", dir=folder) as made:
        began = time.perf_counter()
        wrote = 0
        for _ in range(_MOST_PARTS):
            wrote += made.write(_PART)
            made.flush()
            os.fsync(made.fileno())
            if time.perf_counter() - began > _LONGEST_S:
                break
        return wrote / max(time.perf_counter() - began, 1e-6)
