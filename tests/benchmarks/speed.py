"""How fast frames are judged, as ratios to what the decoder alone takes in the same run.

`python -m tests.benchmarks.speed [--short]` prints a table, in some six minutes; --short leaves
out the 2,000 frames.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from datetime import datetime
from pathlib import Path
from typing import Literal

import cv2
import numpy as np
import psutil
import simplejpeg

from mocks.large import large_frame
from tests.benchmarks import dashboard
from tests.benchmarks.timing import in_turn, report
from tests.dashboard.demo import long_record
from tests.pictures import jpeg
from tests.sitters import put, sitters
from tether.arrivals.folder import FolderSource
from tether.judge import Asked, judge
from tether.model import Judgement
from tether.session.watch import Watch
from tether.settings import Settings, load

ROUNDS = 21
FLOOD = 200
LONG = 2000
TEN_THOUSAND = 10_000
PRODUCT, PORTRAIT = load("product"), load("portrait")
WITHOUT_FACES = PORTRAIT.model_copy(update={"area": PRODUCT.area})


def main() -> None:
    """Print the table; exit with 1 if a figure is over."""
    good = True
    with tempfile.TemporaryDirectory(prefix="tether-speed-") as place:
        kept = [write(Path(place) / f"kept-{n}.jpg", large_frame(24, seed=n)) for n in range(3)]
        good &= one_frame(24, kept[0])
        good &= one_frame(45, write(Path(place) / "kept-45.jpg", large_frame(45)))
        good &= a_portrait(write(Path(place) / "portrait.jpg", sitting()), kept[0])
        good &= nobody(kept[0])
        good &= flood(Path(place), kept)
        good &= help_text()
        good &= ten_thousand(Path(place))
        if "--short" not in sys.argv:
            good &= memory(Path(place), kept)
    sys.exit(0 if good else 1)


def write(path: Path, content: bytes) -> Path:
    """Put bytes there."""
    path.write_bytes(content)
    return path


def one_frame(megapixels: Literal[24, 45], path: Path) -> bool:
    """From a whole file to its verdict, with all that the product preset switches on.

    Against the luma decode alone, and the usual recipe.
    """

    def verdict() -> None:
        latency.append(latency_of(path, PRODUCT))

    def decode() -> None:
        simplejpeg.decode_jpeg(path.read_bytes(), colorspace="GRAY")

    def recipe() -> None:
        colour = cv2.imdecode(np.fromfile(path, np.uint8), cv2.IMREAD_COLOR)
        cv2.Laplacian(cv2.cvtColor(colour, cv2.COLOR_BGR2GRAY), cv2.CV_64F).var()

    latency: list[float] = []
    taken = in_turn({"decode": decode, "verdict": verdict, "recipe": recipe}, ROUNDS)
    verdicts = np.array(latency[1:])
    base = float(np.median(taken["decode"]))
    print(
        f"{megapixels} megapixels, {path.stat().st_size / 1e6:.1f} MB, {ROUNDS} rounds: "
        f"luma decode {base * 1000:.0f} ms, verdict {np.median(verdicts) * 1000:.0f} ms, "
        f"usual recipe {np.median(taken['recipe']) * 1000:.0f} ms"
    )
    return all(
        [
            report("verdict, median / luma decode", float(np.median(verdicts)) / base, 1.3),
            report(
                "verdict, 95th percentile / luma decode",
                float(np.quantile(verdicts, 0.95)) / base,
                2.0,
            ),
            report(
                "verdict / colour decode and variance of the Laplacian",
                float(np.median(verdicts / taken["recipe"])),
                0.5,
            ),
        ]
    )


def a_portrait(path: Path, other: Path) -> bool:
    """The verdict on the nearest eye, with all that the portrait preset switches on."""
    latency: list[float] = []
    taken = in_turn(
        {
            "decode": lambda: simplejpeg.decode_jpeg(path.read_bytes(), colorspace="GRAY"),
            "verdict": lambda: latency.append(latency_of(path, PORTRAIT)),
            "another": lambda: latency_of(other, PORTRAIT),  # whose pixels drive the first's out
        },
        ROUNDS,
    )
    base, verdicts = float(np.median(taken["decode"])), np.array(latency[1:])
    print(
        f"24 megapixels with a face, portrait preset: luma decode {base * 1000:.0f} ms, "
        f"verdict {np.median(verdicts) * 1000:.0f} ms"
    )
    within = float(np.quantile(verdicts, 0.95))
    return all(
        [
            report("verdict, median / luma decode", float(np.median(verdicts)) / base, 1.7),
            report("verdict, 95th percentile / luma decode", within / base, 2.0),
        ]
    )


def nobody(path: Path) -> bool:
    """What looking for an eye adds to the verdict where nobody is in the frame."""
    added: list[float] = []
    for _ in range(ROUNDS):
        alone = latency_of(path, WITHOUT_FACES)
        added.append(1000 * (latency_of(path, PORTRAIT) - alone))
    print("24 megapixels with nobody in it, portrait preset less the same without the nearest eye")
    return report("verdict, median", float(np.median(added)), 80, "ms")


def latency_of(path: Path, settings: Settings) -> float:
    """Seconds from a whole file to its verdict."""
    now = datetime.now().astimezone()
    return judge(Asked(path, "f", now, time.monotonic()), settings).judgement.latency_ms / 1000


def sitting(right: int = 0) -> bytes:
    """A JPEG of 24 megapixels: a face, its eyes 250 px apart, before what `large_frame` shows.

    `right` is how far she sits from where she sat first, px.
    """
    frame = simplejpeg.decode_jpeg(large_frame(24), colorspace="GRAY")[..., 0].copy()
    put(frame, sitters()[0].sized(250), 2000 + right, 300)
    return jpeg(frame, quality=92)


def flood(place: Path, kept: list[Path]) -> bool:
    """Frames that land all at once, against two threads that only read and decode them."""
    folder = place / "flood"
    folder.mkdir()
    best = decode_all([kept[n % len(kept)] for n in range(FLOOD)])
    told: list[Judgement] = []
    stop = threading.Event()
    settings = PRODUCT.model_copy(update={"watch": PRODUCT.watch.model_copy(update={"workers": 2})})
    watch = Watch(folder, settings, FolderSource(folder), (), [lambda one, _: told.append(one)])
    running = threading.Thread(target=watch.run, args=(stop,))
    running.start()
    time.sleep(1)
    begun = time.perf_counter()
    for number in range(FLOOD):
        os.link(kept[number % len(kept)], folder / f"frame-{number:04}.jpg")
    while len(told) < FLOOD:
        time.sleep(0.005)
    took = time.perf_counter() - begun
    stop.set()
    running.join()
    # Those that were there when the last one landed; the first few were in hand before.
    order = [int(one.frame[-4:]) for one in told]
    after = order[order.index(FLOOD - 1) + 1 :]
    newest_first = float(np.mean(np.diff(after) < 0)) if len(after) > 2 else 1.0
    print(f"{FLOOD} frames of 24 megapixels at once: {took:.1f} s, {FLOOD / took:.1f} a second")
    return all(
        [
            report("two threads decoding only / the watch, in frames a second", took / best, 1.25),
            report("the newest was judged as frame number", order.index(FLOOD - 1) + 1, 20),
            report("share of the rest judged oldest first", 1 - newest_first, 0.1),
        ]
    )


def decode_all(paths: list[Path]) -> float:
    """Seconds in which two threads read and decode all of these, with no judging."""
    waiting = iter(paths)
    lock = threading.Lock()

    def work() -> None:
        while True:
            with lock:
                path = next(waiting, None)
            if path is None:
                return
            simplejpeg.decode_jpeg(path.read_bytes(), colorspace="GRAY")

    begun = time.perf_counter()
    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - begun


def memory(place: Path, kept: list[Path]) -> bool:
    """Resident memory of a watch in a process of its own, over many frames."""
    folder = place / "long"
    folder.mkdir()
    command = [sys.executable, "-m", "tether", "watch", "--headless", "--json"]
    command += ["--preset", "product", str(folder)]
    resident: list[float] = []
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        time.sleep(2)
        assert running.stdout is not None
        process = psutil.Process(running.pid)
        for number in range(LONG):
            os.link(kept[number % len(kept)], folder / f"frame-{number:04}.jpg")
            running.stdout.readline()
            resident.append(process.memory_info().rss / 1e6)
        running.terminate()
    first, last = max(resident[50:100]), max(resident[-100:])
    print(f"{LONG} frames of 24 megapixels one after another")
    return all(
        [
            report("most resident memory", max(resident), 400, "MB"),
            report("growth from the first hundred to the last", last - first, 20, "MB"),
        ]
    )


def ten_thousand(place: Path) -> bool:
    """A dashboard on a long record, in a terminal of its own."""
    folder = place / "ten thousand"
    folder.mkdir()
    long_record(folder, TEN_THOUSAND)
    print(f"{TEN_THOUSAND} frames in the record, 160x48")
    times = dashboard.measure(folder, TEN_THOUSAND, (160, 48), 5)
    started, *keys = [float(np.median(seconds)) for seconds in times.values()]
    names = list(times)
    shown = [report(f"{names[0]}, median", 1000 * started, 1000, "ms")]
    shown += [
        report(f"{name}, median", 1000 * seconds, 50, "ms")
        for name, seconds in zip(names[1:], keys, strict=True)
        if name.startswith("key")
    ]
    return all(shown)


def help_text() -> bool:
    """`tether --help`, as a whole process."""
    command = [sys.executable, "-m", "tether", "--help"]
    taken = in_turn(
        {"help": lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL)}, 9
    )
    print("the command line")
    return report("tether --help, median", float(np.median(taken["help"])), 0.3, "s")


if __name__ == "__main__":
    main()
