"""What comparing with a reference costs a verdict, and what references take in memory.

`python -m tests.benchmarks.reference` prints it, in a minute: frames of 24 and 45 megapixels, the
reference in memory as it is from the second frame on, and read from its file as after a restart.
"""

from __future__ import annotations

import gc
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path
from typing import Literal

import numpy as np
import psutil

from mocks.large import large_frame
from tests.benchmarks.speed import sitting
from tests.benchmarks.timing import in_turn
from tether.judge import Asked, Judged, judge, warm
from tether.model import Exposure
from tether.reference import Answer, Lookup
from tether.session.record import Entry, Record
from tether.session.reference_frames import ReferenceFrames
from tether.session.references import choose
from tether.session.roots import Roots
from tether.settings import Settings, load

ROUNDS = 15
PRODUCT, PORTRAIT = load("product"), Settings()


def judged(path: Path, settings: Settings, lookup: Lookup | None = None) -> Judged:
    """Judge a file."""
    now = datetime.now().astimezone()
    return judge(Asked(path, path.stem, now, time.monotonic(), path.parent), settings, lookup)


def kept(record: Record, path: Path, settings: Settings) -> Judged:
    """Judge a file and put it into the record, its pixels let go of."""
    one = judged(path, settings)
    assert one.file is not None
    record.add(Entry(one.judgement, Path(path.name), one.file, one.digest))
    return one


def of(
    name: str, folder: Path, contents: tuple[bytes, bytes], settings: Settings
) -> tuple[float, float]:
    """Print what comparing adds to a verdict, and what reading the reference takes; both ms."""
    folder.mkdir()
    first, second = folder / "bowl-1.jpg", folder / "bowl-2.jpg"
    first.write_bytes(contents[0])
    second.write_bytes(contents[1])
    record = Record(folder)
    exposure = kept(record, first, settings).judgement.exposure
    choose(folder, 1)  # enlarged eyes are none too sharp
    references = ReferenceFrames(Roots(folder), Record(folder))
    lookup = references.lookup(second)
    begun = time.perf_counter()
    answer = lookup(exposure)
    reading = 1000 * (time.perf_counter() - begun)
    assert answer.reference is not None
    steps = {
        "alone": lambda: judged(second, settings),
        "against": lambda: judged(second, settings, lookup),
        "asking": lambda: lookup(exposure),
    }
    taken = in_turn(steps, ROUNDS)
    added = 1000 * float(np.median(taken["against"] - taken["alone"]))
    alone, asking = (1000 * float(np.median(taken[key])) for key in ("alone", "asking"))
    one = judged(second, settings, lookup)
    against = one.judgement.against
    assert against is not None
    said = against.reason or f"{one.judgement.relative_blur:.2f} times"
    print(f"{name:34}{alone:>8.0f}{added:>9.1f}{asking:>9.1f}{reading:>10.0f}   {said}")
    references.close()
    record.close()
    return added, reading


def memory(folder: Path) -> None:
    """Print what four references of 24 megapixels hold."""
    folder.mkdir()
    record, references = Record(folder), ReferenceFrames(Roots(folder), Record(folder))
    first = folder / "first.jpg"
    # Drawn by another process: what drawing leaves in the heap would hide what references take.
    draw = "import sys, mocks.large as m; open(sys.argv[1], 'wb').write(m.large_frame(24))"
    subprocess.run([sys.executable, "-c", draw, str(first)], check=True)
    content = first.read_bytes()
    exposures: list[Exposure] = []
    process = psutil.Process()
    judged(first, PRODUCT)
    gc.collect()
    before = process.memory_info().rss
    sizes = []
    for setup in range(6):
        path = folder / f"bowl-{setup}.jpg"
        path.write_bytes(content + bytes(setup))  # another digest; the picture is the same
        one = judged(path, PRODUCT)
        assert one.file is not None
        entry = Entry(one.judgement, Path(path.name), one.file, one.digest, setup=setup)
        row = record.add(entry)
        references.hold(one)
        references.taken(one.judgement, row, setup)
        exposures.append(one.judgement.exposure)
        del one
        found: Answer = references.lookup(folder / "other.jpg", setup)(exposures[-1])
        assert found.reference is not None
        del found
        gc.collect()
        sizes.append((process.memory_info().rss - before) / 1e6)
    told = ", ".join(f"{size:.0f}" for size in sizes)
    print(f"MB more after 1 to {len(sizes)} references of 24 megapixels: {told}")
    references.close()
    gc.collect()
    print(f"and once they are let go of: {(process.memory_info().rss - before) / 1e6:.0f}")


def main() -> None:
    """Print the table."""
    warm()
    with tempfile.TemporaryDirectory(prefix="tether-reference-") as place:
        memory(Path(place) / "memory")
    print(f"\n{'ms':34}{'verdict':>8}{'compare':>9}{'look up':>9}{'from file':>10}")
    with tempfile.TemporaryDirectory(prefix="tether-reference-") as place:
        sizes: tuple[Literal[24, 45], ...] = (24, 45)
        for size in sizes:
            frames = large_frame(size), large_frame(size, seed=1)
            of(f"{size} megapixels", Path(place) / str(size), frames, PRODUCT)
        faces = sitting(), sitting(right=700)
        of("24 megapixels, sitter moved", Path(place) / "sitter", faces, PORTRAIT)


if __name__ == "__main__":
    main()
