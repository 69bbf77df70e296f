"""A shoot that fills a folder at a photographer's pace, as a camera's software would.

``python -m mocks.rehearsal FOLDER`` shoots until it is done or told to end.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path
from threading import Event

from mocks.play import PLAY, Frame

PACE_S = 1.2  # longer than what counts as a burst, or two frames would be one try
_AHEAD = 3
_IN_PLACE = 4


def fill(
    folder: Path,
    pace_s: float = PACE_S,
    stop: Event | None = None,
    play: Sequence[Frame] = PLAY,
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
        What is shot, in this order.

    Returns
    -------
    list of Path
        The files written.
    """
    stop = stop or Event()
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    clock = datetime.now()
    # Few frames ahead: whoever watches the folder needs the processor too.
    pool = ThreadPoolExecutor(1, thread_name_prefix="rehearsal")
    try:
        ready: dict[int, Future[bytes]] = {}
        begun = 0.0
        for i, frame in enumerate(play):
            for k in range(i, min(i + 1 + _AHEAD, len(play))):
                if k not in ready:
                    ready[k] = pool.submit(play[k].file, clock + k * timedelta(seconds=pace_s))
            data = ready.pop(i).result()
            begun = begun or time.monotonic()
            if stop.wait(max(0.0, begun + i * pace_s - time.monotonic())):
                break
            path = folder / frame.name
            if i % _IN_PLACE == _IN_PLACE - 1:
                _in_place(path, data)
            else:
                _renamed(path, data)
            written.append(path)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return written


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
    fill(folder, stop=stop)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m mocks.rehearsal FOLDER")
    main(Path(sys.argv[1]))
