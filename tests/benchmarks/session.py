"""What reaches second screens, and when: python -m tests.benchmarks.session [--short].

Two hours of a session, a frame every five seconds, played 24 times as fast: a real watch on a
folder, the page's own process, twenty screens open throughout and one client that never reads.
The frames are rendered. Takes some six minutes; --short half of one.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import re
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import psutil

from mocks.shoot import SHOOT, render
from tests.benchmarks.timing import report
from tests.pictures import write
from tests.second_screen.serving import free_port
from tests.session.made import until
from tether.model import Setup
from tether.session import setups, turns
from tether.session.lock import held
from tether.session.reader import Reader
from tether.session.schema import RecordError

FRAMES, SHORT = 1500, 100
PACE_S = 5.0 / 24
SCREENS = 20
BOUND_MS = 300.0
LIST = [Setup(f"Bowl {nth}", needed=3, notes="window light") for nth in range(1, 11)]
# Two readings of the record: what was replaced within them no screen need have seen.
STOOD_S = 0.05
_ASK = b"GET /events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
_FRAME = re.compile(rb'"frame": \{"id": (\d+)')


@dataclass
class Screen:
    """One open screen: when it was first told of each frame, s since 1970, by the frame's id."""

    told: dict[int, float] = field(default_factory=dict)
    states: int = 0
    cut: int = 0

    async def run(self, port: int) -> None:
        """Read as a browser does, and come back when it was cut off."""
        while True:
            with contextlib.suppress(OSError):
                reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=2**20)
                writer.write(_ASK)
                while line := await reader.readline():
                    if line.startswith(b"data: {"):
                        self.states += 1
                        found = _FRAME.search(line)
                        if found:
                            self.told.setdefault(int(found[1]), time.time())
                writer.close()
            self.cut += 1
            await asyncio.sleep(0.1)


async def main(frames: int) -> bool:
    """Play it, and print what was found; False where a figure is over its bound."""
    pictures = [render(shot) for shot in SHOOT if shot.setup == "bowl"]
    with tempfile.TemporaryDirectory() as made:
        folder, port = Path(made) / "pottery", free_port()
        folder.mkdir()
        command = [
            *(sys.executable, "-m", "tether", "watch", str(folder), "--headless", "--json"),
            *("--preset", "product", "--no-alerts", "--second-screen", "--port", str(port)),
        ]
        log = Path(made) / "log"
        with (
            log.open("w") as said,
            subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=said) as watch,
        ):
            try:
                await asyncio.to_thread(until, lambda: held(folder) and begun(folder))
                await asyncio.to_thread(until, lambda: "second screen" in log.read_text())
                return await played(folder, port, watch, pictures, frames)
            finally:
                watch.terminate()


def begun(folder: Path) -> bool:
    """Whether the record is there."""
    try:
        Reader(folder).state()
    except RecordError:
        return False
    return True


async def played(
    folder: Path, port: int, watch: subprocess.Popen[bytes], pictures: list[bytes], frames: int
) -> bool:
    """Open the screens, let the frames come, and print the table."""
    setups.put_list(folder, LIST, "list")
    page = next(
        child
        for child in psutil.Process(watch.pid).children()
        if "tether.second_screen" in child.cmdline()
    )
    screens = [Screen() for _ in range(SCREENS)]
    reading = [asyncio.create_task(screen.run(port)) for screen in screens]
    _, deaf = await asyncio.open_connection("127.0.0.1", port)
    deaf.transport.pause_reading()  # type: ignore[attr-defined]
    deaf.write(_ASK)
    until_s = asyncio.get_running_loop().time
    memory, spent = [], sum(page.cpu_times()[:2])
    began = until_s()
    for nth in range(frames):
        if nth % (frames // len(LIST)) == 0:
            turns.turn_on(folder, "command")
        # A comment of its own behind the picture: no two files are the same.
        content = pictures[nth % len(pictures)] + f"frame {nth}".encode()
        write(folder / f"bowl-{nth:04}.jpg", content)
        if nth % 10 == 0:
            memory.append(page.memory_info().rss / 1e6)
        await asyncio.sleep(max(0.0, began + (nth + 1) * PACE_S - until_s()))
    reader = Reader(folder)
    await asyncio.to_thread(until, lambda: len(reader.rows_since(0)) == frames, 120.0)
    await asyncio.sleep(3.0)
    memory.append(page.memory_info().rss / 1e6)
    spent = sum(page.cpu_times()[:2]) - spent
    for task in reading:
        task.cancel()
    deaf.close()
    rows = reader.rows_since(0)
    lines = {row.id: reader.frame(row.id) or {} for row in rows}
    seconds = until_s() - began
    return table(screens, lines, memory, 100 * spent / seconds, seconds)


def table(
    screens: list[Screen],
    lines: dict[int, dict[str, Any]],
    memory: list[float],
    processor_pct: float,
    seconds: float,
) -> bool:
    """Print it."""
    judged = {number: _time(line["judged"]) for number, line in lines.items()}
    late = sorted(
        1000 * (when - judged[number])
        for screen in screens
        for number, when in screen.told.items()
        if number in judged
    )
    newest = {number for number in judged if _newest(number, lines, judged)}
    lost = [len(newest - screen.told.keys()) for screen in screens]
    third = len(memory) // 3
    print(f"{len(lines)} frames in {seconds:.0f} s, {len(screens)} screens, one that never reads")
    states = statistics.median(screen.states for screen in screens)
    print(f"  states that reached each screen           {states:8.0f}")
    print(f"  frames not the newest for 50 ms           {len(lines) - len(newest):8d}")
    print(f"  screens cut off                           {sum(screen.cut for screen in screens):8d}")
    print(f"  verdict to screen, median                 {statistics.median(late):8.0f} ms")
    print(f"  95 in a hundred                           {late[int(0.95 * len(late))]:8.0f} ms")
    print(f"  99 in a hundred                           {late[int(0.99 * len(late))]:8.0f} ms")
    print(f"  memory of the page's process, MB: start   {memory[1]:8.1f}")
    print(f"  middle                                    {memory[len(memory) // 2]:8.1f}")
    print(f"  end                                       {memory[-1]:8.1f}")
    print(f"  its share of a processor                  {processor_pct:8.1f} %")
    return all(
        [
            report("verdict to screen, latest of all", late[-1], BOUND_MS, "ms"),
            report("newest frames that a screen was never told of", max(lost), 0),
            report("growth, last third over the one before", _grown(memory, third), 3.0, "MB"),
        ]
    )


def _grown(memory: list[float], third: int) -> float:
    return statistics.median(memory[-third:]) - statistics.median(memory[third:-third])


def _newest(number: int, lines: dict[int, dict[str, Any]], judged: dict[int, float]) -> bool:
    """Whether no frame that came later had its verdict before, or a moment after."""
    came = lines[number]["arrived"]
    return not any(
        line["arrived"] > came and judged[other] <= judged[number] + STOOD_S
        for other, line in lines.items()
    )


def _time(iso: str) -> float:
    return datetime.fromisoformat(iso).timestamp()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    good = asyncio.run(main(SHORT if parser.parse_args().short else FRAMES))
    sys.exit(0 if good else 1)
