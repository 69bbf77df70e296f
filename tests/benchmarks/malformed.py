"""Files made to bring metadata readers down, through ours behind its fence.

`python -m tests.benchmarks.malformed FOLDER` reads every file below a folder, such as the unpacked
source packages of exiv2 and ExifTool, whose tests hold hundreds of them, and each that is read
again with bytes changed at random. It prints a table and those that needed the reader started anew;
it ends with 1 if a file took longer than it may.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import psutil

from tests.benchmarks.timing import report
from tether.frame import sidecar
from tether.frame.fence import SECONDS, Fence
from tether.frame.file import Unreadable
from tether.frame.file import read as read_file
from tether.frame.header import header
from tether.frame.wire import Request

# Most of them hold no picture that could be decoded.
SIZE = (6000, 4000)
# A new reader has to get ready within its first file's time.
START_S = 1.0
COPIES = 20


@dataclass(frozen=True, slots=True)
class Found:
    """What became of one file; memory is the reader's after it, bytes."""

    path: Path
    seconds: float
    memory: int
    restarts: int
    problems: tuple[str, ...]


def main() -> None:
    """Print the table."""
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir():
        sys.exit(__doc__)
    fence = Fence()
    fence.read(Request(b"\xff\xd8\xff\xd9", "first", *SIZE))
    files = sorted(path for path in Path(sys.argv[1]).rglob("*") if path.is_file())
    good = told("as they are", [read(fence, path, data) for path, data in contents(files)])
    whole = [p for p, data in contents(files) if not read(fence, p, data).problems]
    chance = np.random.default_rng(0)
    good &= told(
        "with bytes changed",
        [
            read(fence, path, changed(data, chance))
            for path, data in contents(whole)
            for _ in range(COPIES)
        ],
    )
    fence.close()
    sys.exit(0 if good else 1)


def contents(paths: list[Path]) -> Iterator[tuple[Path, bytes]]:
    """Files with their bytes, without those that hold none."""
    for path in paths:
        with suppress(Unreadable):
            yield path, read_file(path).data


def changed(data: bytes, chance: np.random.Generator) -> bytes:
    """A copy with up to 40 bytes changed, most of them early on, where the metadata is."""
    made = bytearray(data)
    for _ in range(chance.integers(1, 41)):
        at = int(len(made) * chance.random() ** 3)
        made[at] = (0, 1, 0x7F, 0x80, 0xFF, int(chance.integers(256)))[chance.integers(6)]
    return bytes(made)


def read(fence: Fence, path: Path, data: bytes) -> Found:
    """Read one file as a picture or, by its name, as the sidecar of a picture without metadata."""
    before = fence.restarts
    begun = time.perf_counter()
    if path.suffix.lower() == ".xmp":
        beside = sidecar.Sidecar(path.name, data[: sidecar.LARGEST_BYTES])
        tags = fence.read(Request(b"\xff\xd8\xff\xd9", path.stem, *SIZE, beside))
    else:
        tags = fence.read(Request(header(data), path.name, *SIZE))
    seconds = time.perf_counter() - begun
    memory = psutil.Process(fence.pid).memory_info().rss
    return Found(path, seconds, memory, fence.restarts - before, tags.problems)


def told(how: str, found: list[Found]) -> bool:
    """Print the table; True if every file ended in time."""
    anew = [one for one in found if one.restarts]
    down = [one for one in anew if any("brought" in why for why in one.problems)]
    late = [one for one in anew if any("took longer" in why for why in one.problems)]
    greedy = [one for one in anew if any("asked for" in why for why in one.problems)]
    seconds = np.array([one.seconds for one in found])
    print(f"{how}: {len(found)} files, {sum(not one.problems for one in found)} of them read")
    print(f"  survived: {len(down)} crashes, {len(late)} too late, {len(greedy)} too greedy")
    print(
        f"  median {1000 * np.median(seconds):.1f} ms, 99 % {1000 * np.quantile(seconds, 0.99):.1f}"
    )
    good = report("longest file", float(seconds.max()), SECONDS + START_S, "s")
    good &= report("most memory", max(one.memory for one in found) / 1e6, 250, "MB")
    for one in anew:
        print(f"  anew: {one.path.name}: {one.seconds:.2f} s, {'; '.join(one.problems)}")
    return good


if __name__ == "__main__":
    main()
