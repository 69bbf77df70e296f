"""What frames that wait cost those that come: python -m tests.benchmarks.backlog [--short].

Real watches on folders with 1,000 and 50,000 small pictures (--short: 5,000) and `--existing`: how
many are judged in a second of processor time, how long a large frame waits that lands meanwhile,
how long SIGTERM takes; and with a shot list of 10,000 setups, turned all the time. Some six
minutes; every wait has an end, so that this has one too, whatever it measures.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import psutil
from scipy import ndimage

from mocks.large import large_frame
from tests.benchmarks.timing import report
from tests.pictures import grey, jpeg, write
from tether.session import turns
from tether.session.reader import Reader
from tether.session.schema import RecordError

FEW, MANY, SHORT = 1_000, 50_000, 5_000
SETUPS = 10_000
WINDOW_S = 20.0
SHARE = 0.7  # of the few, after which the window ends at the latest
NEW_FRAMES = 7
TURN_S = 0.5
MOST_MB = 200.0  # 4 kB a frame
FIRST_S, KNOWN_S, NEW_S, TERM_S = 60.0, 120.0, 30.0, 30.0
"""The longest waits: for the first verdict, for all to be known, for a new frame, for an end."""


@dataclass
class Watched:
    """A watch as a process, what it has printed, and what it has recorded.

    `lines` has each frame's name, and when it was printed: a frame that something more is to be
    found out about is printed later than it is recorded.
    """

    folder: Path
    process: subprocess.Popen[str]
    lines: dict[str, float] = field(default_factory=dict)
    rows: set[int] = field(default_factory=set)
    revision: int = 0

    def __post_init__(self) -> None:
        self.record = Reader(self.folder)

    def read(self) -> None:
        """Take in its lines until it ends."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.setdefault(json.loads(line)["frame"], time.monotonic())

    def spent_s(self) -> float:
        """Processor time of it and its own processes so far."""
        own = psutil.Process(self.process.pid)
        return sum(sum(one.cpu_times()[:2]) for one in (own, *own.children(recursive=True)))

    def resident_mb(self) -> float:
        """Its resident memory, without that of its own processes."""
        return float(psutil.Process(self.process.pid).memory_info().rss / 1e6)

    def waiting(self) -> int:
        """How many frames wait for their verdict, as it says."""
        try:
            return self.record.state().waiting
        except RecordError:
            return 0

    def judged(self) -> int:
        """How many frames have their verdict in the record."""
        try:
            changed = self.record.rows_since(self.revision)
        except RecordError:
            return len(self.rows)
        self.rows.update(row.id for row in changed)
        self.revision = max((row.revision for row in changed), default=self.revision)
        return len(self.rows)

    def end(self) -> float:
        """Seconds from SIGTERM to its end."""
        begun = time.monotonic()
        self.process.terminate()
        try:
            self.process.wait(TERM_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
        return time.monotonic() - begun


@dataclass
class Found:
    """What one watch was measured to do."""

    first_s: float = 0.0
    known_s: float = 0.0
    a_second: float = 0.0
    a_processor_second: float = 0.0
    new_s: list[float] = field(default_factory=list)
    resident_mb: float = 0.0
    term_s: float = 0.0

    @property
    def new_median_s(self) -> float:
        """Median of what new frames took."""
        return statistics.median(self.new_s)

    def __str__(self) -> str:
        new = f"{self.new_median_s:.2f} ({max(self.new_s):.2f})" if self.new_s else "-"
        return (
            f"first verdict {self.first_s:.1f} s, all known {self.known_s:.1f} s, judged "
            f"{self.a_second:.1f} a second, {self.a_processor_second:.1f} a processor second, "
            f"new frame {new} s, memory {self.resident_mb:.0f} MB, end {self.term_s:.1f} s"
        )


@contextmanager
def watching(folder: Path, *options: str) -> Iterator[Watched]:
    """A headless watch on a folder, up and running; killed at the end if it runs still."""
    command = [sys.executable, "-m", "tether", "watch", "--headless", "--json", "--no-alerts"]
    own = str(folder.parent)  # whatever whoever runs this has set for themselves
    with subprocess.Popen(
        [*command, "--preset=product", *options, str(folder)],
        env={**os.environ, "HOME": own, "XDG_CONFIG_HOME": own, "XDG_STATE_HOME": own},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stderr is not None
        process.stderr.readline()
        watched = Watched(folder, process)
        for job in (watched.read, process.stderr.read):
            threading.Thread(target=job, daemon=True).start()
        try:
            yield watched
        finally:
            watched.record.close()
            process.kill()


def fill(folder: Path, count: int) -> Path:
    """Put so many pictures there, 300 x 200 px of some 9 to 20 kB, no two with the same bytes."""
    folder.mkdir()
    sharp = [np.ascontiguousarray(grey()[60 + at : 260 + at, 160:460]) for at in (0, 20, 40)]
    coded = [jpeg(one) for one in sharp] + [jpeg(ndimage.gaussian_filter(sharp[0], 1.0))]
    for nth in range(count):
        (folder / f"bowl-{nth:05}.jpg").write_bytes(numbered(coded[nth % len(coded)], nth))
    return folder


def numbered(coded: bytes, nth: int) -> bytes:
    """The same picture in other bytes: with a comment segment (ITU-T T.81, B.2.4.5) of eight."""
    return coded[:2] + b"\xff\xfe\0\x0a" + nth.to_bytes(8, "big") + coded[2:]


def within(true: Callable[[], bool], most_s: float) -> float:
    """Seconds until something is true, or at most so many."""
    begun = time.monotonic()
    while not true() and time.monotonic() - begun < most_s:
        time.sleep(0.02)
    return time.monotonic() - begun


def rate(watched: Watched, found: Found, window_s: float, beside: Callable[[], object]) -> None:
    """Count what is judged in a while; `beside` is done twice a second."""
    before, spent, begun = watched.judged(), watched.spent_s(), time.monotonic()
    while time.monotonic() - begun < window_s and watched.judged() < before + SHARE * FEW:
        time.sleep(TURN_S)
        beside()
    judged = watched.judged() - before
    found.a_second = judged / (time.monotonic() - begun)
    found.a_processor_second = judged / (watched.spent_s() - spent)


def new_frames(watched: Watched, found: Found, content: bytes, count: int) -> None:
    """Have frames land, one once the other has its line; two that are never told are enough."""
    for nth in range(count):
        if found.new_s.count(NEW_S) == 2:
            return
        name = f"new-{nth}"
        begun = time.monotonic()
        write(watched.folder / f"{name}.jpg", numbered(content, nth))
        within(lambda told=name: told in watched.lines, NEW_S)  # type: ignore[misc]
        found.new_s.append(min(watched.lines.get(name, begun + NEW_S) - begun, NEW_S))


def backlog(folder: Path, count: int, window_s: float, new: bytes, rounds: int) -> Found:
    """A watch with so many frames there when it starts."""
    found = Found()
    with watching(folder, "--existing") as watched:
        if count:
            found.first_s = within(lambda: bool(watched.judged()), FIRST_S)
            found.known_s = found.first_s + within(
                lambda: watched.waiting() + watched.judged() >= count, KNOWN_S
            )
            rate(watched, found, window_s, lambda: None)
        else:
            write(folder / "first.jpg", new)
            within(lambda: "first" in watched.lines, NEW_S)
        new_frames(watched, found, new, rounds)
        found.resident_mb = watched.resident_mb()
        found.term_s = watched.end()
    print(f"  {count:6} there: {found}", flush=True)
    return found


def with_list(place: Path, setups: int, window_s: float) -> Found:
    """A watch with a shot list, that is turned from setup to setup while it judges."""
    folder, found = fill(place / f"{setups} setups", FEW), Found()
    listed = place / f"{setups}.csv"
    rows = [f"Tea bowl {nth},3" for nth in range(setups)]
    listed.write_text("\n".join(["name,sharp", *rows, ""]))
    turned = iter(range(10**6))

    def turn() -> None:
        turns.turn_to(folder, f"Tea bowl {7 * next(turned) % setups}", "command")

    with watching(folder, "--existing", f"--shot-list={listed}") as watched:
        found.first_s = within(lambda: bool(watched.judged()), FIRST_S)
        rate(watched, found, window_s, turn)
        found.resident_mb = watched.resident_mb()
        found.term_s = watched.end()
    print(f"  {setups:6} setups: {found}", flush=True)
    return found


def main() -> None:
    """Print the table; exit with 1 if a figure is over."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args().short
    many, window_s = (SHORT, WINDOW_S / 2) if short else (MANY, WINDOW_S)
    rounds, new = NEW_FRAMES, large_frame(24)
    with tempfile.TemporaryDirectory(prefix="tether-backlog-") as made:
        place = Path(made)
        none = backlog(fill(place / "none", 0), 0, window_s, new, rounds)
        # Before and after, so that a machine whose speed drifts is fair to both.
        few = [backlog(fill(place / "few", FEW), FEW, window_s, new, rounds)]
        much = backlog(fill(place / "many", many), many, window_s, new, rounds)
        few += [backlog(fill(place / "few again", FEW), FEW, window_s, new, rounds)]
        short_list, long_list = (with_list(place, setups, window_s) for setups in (10, SETUPS))
    wall = statistics.mean(one.a_second for one in few)
    spent = statistics.mean(one.a_processor_second for one in few)
    ratio = max(none.new_median_s, 1e-9)
    print(f"{many} frames there, of them few judged yet, against {FEW}")
    good = [
        report("frames a processor second, fewer by", _over(spent, much.a_processor_second), 1.1),
        report("frames a second, fewer by", _over(wall, much.a_second), 1.1),
        report("a new frame's line, median, against none waiting", much.new_median_s / ratio, 1.5),
        report(f"SIGTERM to the end with {FEW}", max(one.term_s for one in few), 2.0, "s"),
        report(f"SIGTERM to the end with {many}", much.term_s, 2.0, "s"),
        report("resident memory, more by", much.resident_mb - few[0].resident_mb, MOST_MB, "MB"),
    ]
    print(f"{SETUPS} setups on the shot list, turned twice a second, against 10")
    turned = short_list.a_processor_second, long_list.a_processor_second
    good += [
        report("frames a processor second, fewer by", _over(*turned), 1.1),
        report("the same with 10 setups, fewer than with none by", _over(spent, turned[0]), 1.25),
        report("SIGTERM to the end", long_list.term_s, 2.0, "s"),
    ]
    sys.exit(0 if all(good) else 1)


def _over(one: float, other: float) -> float:
    return one / max(other, 1e-3)


if __name__ == "__main__":
    main()
