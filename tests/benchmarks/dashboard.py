"""How fast the dashboard is with a long record: python -m tests.benchmarks.dashboard."""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from contextlib import closing
from datetime import UTC, datetime
from itertools import product
from pathlib import Path

from tests.dashboard.demo import entry, long_record
from tests.dashboard.terminal import Terminal
from tether.model import Setup, Verdict
from tether.session.record import Record
from tether.session.setups import put_list

SIZES = ((80, 24), (160, 48))
START, START_PROCESSOR = "start to frames on screen", "  of it processor time"
KEYS = {"down": "\x1b[B", "page down": "\x1b[6~", "end": "\x1b[F", "home": "\x1b[H"}


def measure(
    folder: Path, frames: int, size: tuple[int, int], rounds: int
) -> dict[str, list[float]]:
    """Time what a photographer waits for, in s, on a real terminal.

    Parameters
    ----------
    folder
        Holds a record of `frames` frames, as `long_record` makes them; a few are added to it.
    size
        Columns and lines.
    """
    times: dict[str, list[float]] = {START: [], START_PROCESSOR: []}
    for _ in range(rounds):
        with Terminal(str(folder), size=size) as terminal:
            terminal.wait_for(f"bowl-{frames}")
            times[START].append(time.perf_counter() - terminal.began)
        times[START_PROCESSOR].append(terminal.processor_s)
    with Terminal(str(folder), size=size) as terminal, closing(Record(folder)) as record:
        terminal.wait_for(f"bowl-{frames}", "1:1")
        _settle(terminal)
        for _ in range(rounds):
            for key, told in (("down", f"2 of {frames}"), ("end", f"{frames} of {frames}")):
                _press(terminal, key, told, times)
            _press(terminal, "home", f"1 of {frames}", times)
            _press(terminal, "page down", f" of {frames}", times)
            _press(terminal, "home", f"1 of {frames}", times)
        terminal.type("n")
        _settle(terminal)
        for one in range(rounds):
            name = f"late-{frames}-{size[0]}-{one}"
            number, now = frames + 1 + one, datetime.now(UTC)
            record.add(entry(number, Verdict.SOFT, width=5.0, name=name, arrived=now))
            times.setdefault("record to screen", []).append(terminal.wait_for(name[-6:]))
            _settle(terminal, 0.7)  # or the band would still hold the one before
    return times


def through_list(
    folder: Path, setups: int, size: tuple[int, int], rounds: int
) -> dict[str, list[float]]:
    """Time the keys of the shot list's own screen, in s, with so many `setups` on it."""
    times: dict[str, list[float]] = {}
    with Terminal(str(folder), size=size) as terminal:
        terminal.wait_for("next: Tea bowl 0")
        _settle(terminal)
        for _ in range(rounds):
            terminal.type("g")
            times.setdefault("list: open", []).append(terminal.wait_for("turn to it"))
            _settle(terminal)
            _press(terminal, "end", f"bowl {setups - 1}", times, "list: ")
            _press(terminal, "home", "bowl 0", times, "list: ")
            _press(terminal, "page down", "–", times, "list: ")
            terminal.type("g")
            _settle(terminal)
        terminal.type("t")
        times["turn to the next"] = [terminal.wait_for("is the setup now")]
    return times


def _press(
    terminal: Terminal, key: str, told: str, times: dict[str, list[float]], at: str = "key: "
) -> None:
    terminal.type(KEYS[key])
    times.setdefault(f"{at}{key}", []).append(terminal.wait_for(told))
    _settle(terminal)


def _settle(terminal: Terminal, quiet_s: float = 0.12) -> None:
    while terminal.read(quiet_s):
        pass


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--frames", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--setups", type=int, default=10_000)
    asked = parser.parse_args()
    print(f"{asked.frames} frames, median (worst) of {asked.rounds}, ms")
    for size, listed in product(SIZES, (0, asked.setups)):
        with tempfile.TemporaryDirectory() as folder:
            long_record(Path(folder), asked.frames)
            put_list(Path(folder), [Setup(f"Tea bowl {n}") for n in range(listed)], "list")
            times = measure(Path(folder), asked.frames, size, asked.rounds)
            if listed:
                times |= through_list(Path(folder), listed, size, asked.rounds)
        print(f"\n{size[0]}x{size[1]}, {listed} setups")
        for what, found in times.items():
            worst = 1000 * max(found)
            print(f"  {what:<28}{1000 * statistics.median(found):7.0f} ({worst:.0f})")


if __name__ == "__main__":
    main()
