"""A shoot that fills a folder at a photographer's pace, as a camera's software would.

``python -m mocks.rehearsal FOLDER`` shoots until it is done or told to end.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from threading import Event

from mocks.shoot import SHOOT, Shot, render
from tether.model import Setup
from tether.session import turns
from tether.session.schema import RecordError

LABEL = Setup("Tea bowl, label", "BOWL-01", 3, "product", notes="the label to the front")
FOOT = Setup("Raw foot and glaze", "BOWL-02", 1, "product", notes="by hand, from the side")
MAKER = Setup("The maker", "MAKER", 3, "portrait", notes="eyes to the lamp")
SHOT_LIST = (LABEL, FOOT, MAKER)

PACE_S = 1.4
# The foot is left with three misses and is a reshoot until somebody comes back to it.
_PLAY = (
    (LABEL, ("bowl-0001", "bowl-0002", "bowl-0003", "bowl-0004")),
    (FOOT, ("bowl-0005", "bowl-0006", "bowl-0007")),
    (MAKER, tuple(f"maker-{number:04}" for number in range(1, 8))),
    (FOOT, ("bowl-0009", "bowl-0008", "bowl-0010")),
)
_SHOTS = {Path(shot.name).stem: shot for shot in SHOOT}
PLAY: tuple[tuple[Setup, Shot], ...] = tuple(
    (setup, _SHOTS[name]) for setup, names in _PLAY for name in names
)
_AHEAD = 3
_IN_PLACE = 4


def fill(
    folder: Path,
    pace_s: float = PACE_S,
    stop: Event | None = None,
    play: Sequence[tuple[Setup, Shot]] = PLAY,
    turn: Callable[[Setup], None] | None = None,
) -> list[Path]:
    """Write the shoot's frames into a folder one by one; returns when all are there.

    Parameters
    ----------
    folder
        Is made where it is missing.
    pace_s
        Seconds from one frame to the next, counted from the first.
    stop
        Ends the shoot early once set; no half-written file stays behind.
    play
        What is shot, in this order, and the setup that it is shot for.
    turn
        Told of each setup, before its first frame is there.

    Returns
    -------
    list of Path
        The files written.
    """
    stop = stop or Event()
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    shots = [shot for _, shot in play]
    now: Setup | None = None
    clock = datetime.now()
    # Few frames ahead: whoever watches the folder needs the processor too.
    pool = ThreadPoolExecutor(1, thread_name_prefix="rehearsal")
    try:
        ready: dict[int, Future[bytes]] = {}
        begun = 0.0
        for i, shot in enumerate(shots):
            for k in range(i, min(i + 1 + _AHEAD, len(shots))):
                if k not in ready:
                    ready[k] = pool.submit(render, shots[k], clock + k * timedelta(seconds=pace_s))
            data = ready.pop(i).result()
            begun = begun or time.monotonic()
            if stop.wait(max(0.0, begun + i * pace_s - time.monotonic())):
                break
            if turn is not None and play[i][0] is not now:
                now = play[i][0]
                turn(now)
            path = folder / shot.name
            if i % _IN_PLACE == _IN_PLACE - 1:
                _in_place(path, data)
            else:
                _renamed(path, data)
            written.append(path)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return written


def turn_to(folder: Path, setup: Setup) -> None:
    """Turn the folder's session to a setup, as `tether setup` does; without a session, don't."""
    with suppress(RecordError):
        turns.turn_to(folder, setup.name, "command")


def _renamed(path: Path, data: bytes) -> None:
    """Write under a hidden name first, as most cameras' software does."""
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(data)
        os.replace(part, path)  # noqa: PTH105  (Path.replace hides that it is atomic)
    finally:
        part.unlink(missing_ok=True)


def _in_place(path: Path, data: bytes) -> None:
    """Write under the final name in pieces, as a slow card reader does."""
    with path.open("wb", buffering=0) as file:
        for start in range(0, len(data), 1 << 17):
            file.write(data[start : start + (1 << 17)])
            time.sleep(0.02)


def main(folder: Path) -> None:
    """Fill a folder; SIGTERM ends the shoot between two frames."""
    stop = Event()
    signal.signal(signal.SIGTERM, lambda *_: stop.set())
    fill(folder, stop=stop, turn=partial(turn_to, folder))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m mocks.rehearsal FOLDER")
    main(Path(sys.argv[1]))
