"""What reading metadata costs a frame: behind the fence, and without it.

`python -m tests.benchmarks.metadata FOLDER` puts the Exif of each file below a folder whose name
ends in .exv or .jpg, such as exiv2's tests, into a JPEG of 12 MB and reads it from there. It prints
a table and ends with 1 if the median frame costs more than it may.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import exiv2
import numpy as np

from mocks.large import large_frame
from tests.benchmarks.timing import report
from tether.frame import metadata, tags
from tether.frame.fence import Fence
from tether.frame.wire import Request

MOST_MS = 15.0
LARGE = 12_000_000
ROUNDS = 9
SIZE = (6000, 4000)


def main() -> None:
    """Print the table."""
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir():
        sys.exit(__doc__)
    exiv2.LogMsg.setLevel(exiv2.LogMsg.Level.mute)
    plain = large_frame(24, seed=1)
    plain += bytes(max(0, LARGE - len(plain)))
    paths = [path for path in Path(sys.argv[1]).rglob("*") if path.suffix in {".exv", ".jpg"}]
    segments = {exif for path in paths if (exif := exif_of(path.read_bytes()))}
    print(
        f"{len(segments)} different Exif segments, each in a JPEG of {len(plain) / 1e6:.1f} MB, ms"
    )
    costs: dict[str, list[float]] = {"behind the fence": [], "in this process": []}
    with tempfile.TemporaryDirectory(prefix="tether-metadata-") as place:
        path = Path(place) / "bowl.jpg"
        metadata.read(plain, path, *SIZE)
        for segment in segments:
            data = plain[:2] + segment + plain[2:]
            costs["behind the fence"] += times(partial(metadata.read, data, path, *SIZE))
            costs["in this process"] += times(partial(tags.read, data, *SIZE))
    for name, taken in costs.items():
        middle, tail, most = np.quantile(taken, [0.5, 0.99, 1.0])
        print(f"  {name:<20} median {middle:6.2f}   99 % {tail:6.2f}   most {most:6.2f}")
    begun = time.perf_counter()
    fence = Fence()
    fence.read(Request(b"\xff\xd8\xff\xd9", "first", *SIZE))
    print(f"  started until its first answer {1000 * (time.perf_counter() - begun):.0f}")
    fence.close()
    cost = float(np.median(costs["behind the fence"]))
    sys.exit(0 if report("median frame", cost, MOST_MS, "ms") else 1)


def exif_of(data: bytes) -> bytes:
    """The first Exif segment of a file, whole, or nothing."""
    at = data.find(b"Exif\0\0", 0, 100_000) - 4
    if at < 0 or data[at : at + 2] != b"\xff\xe1":
        return b""
    return data[at : at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")]


def times(step: Callable[[], object]) -> list[float]:
    """Milliseconds of a step, several times over."""
    taken = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        step()
        taken.append(1000 * (time.perf_counter() - begun))
    return taken


if __name__ == "__main__":
    main()
