"""What becomes of frames between shutter and verdict: python -m tests.benchmarks.camera [--short].

Everything is real but the camera: `tether watch --camera` as a process, the camera library, the
disk; the camera is `mocks.camera` on loopback. Takes some four minutes; --short half of one.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import psutil

from mocks.camera.camera import Camera
from mocks.camera.roll import numbered, pair
from mocks.large import large_frame
from mocks.shoot import SHOOT, render
from tests.benchmarks.timing import report
from tether.session.reader import Reader

RATE = 5.0
_PATIENCE_S = 120.0


class Watched:
    """`tether watch --camera` in a process, started anew whenever it was killed."""

    def __init__(self, folder: Path, camera: Camera) -> None:
        self.told: list[tuple[float, str]] = []
        self._command = [
            *(sys.executable, "-m", "tether", "watch", str(folder), "--headless", "--json"),
            *("--preset", "product", "--camera", camera.address),
        ]
        self.start()

    def start(self) -> None:
        """Start it; it runs when this returns, and connects by itself."""
        self.process = subprocess.Popen(
            self._command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        self._listening = threading.Thread(target=self._listen, args=(self.process,))
        self._listening.start()

    def kill(self) -> None:
        """Kill it as a crash would, and start it again."""
        self.end(signal.SIGKILL)
        self.start()

    def end(self, how: int = signal.SIGTERM) -> None:
        """End it, and hear out what it has said."""
        self.process.send_signal(how)
        self.process.wait()
        self._listening.join()

    def _listen(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            self.told.append((time.monotonic(), json.loads(line)["frame"]))


def soak(frames: int, mishaps: int, seed: int = 1) -> bool:
    """Shoot on while cable, camera and watch fail at random; count and compare all there is."""
    chance = random.Random(seed)
    pictures = [render(shot) for shot in SHOOT[:6]]
    wanted = {f"DSC_{n:04d}": numbered(pictures[n % 6], n) for n in range(1, frames + 1)}
    when = sorted(chance.sample(range(5, frames - 5), mishaps))
    done: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="tether-camera-") as place, Camera() as camera:
        folder = Path(place)
        watched = Watched(folder, camera)
        _until(lambda: camera.connected)
        time.sleep(1)
        kinds: dict[str, Callable[[], object]] = {
            "cable pulled": camera.drop,
            "cut in mid-transfer": lambda: setattr(camera.faults, "cut_after", 100_000),
            "reset": lambda: camera.drop(reset=True),
            "stalled 3 s": lambda: _stall(camera),
            "camera off for 2 s": lambda: _off(camera),
            "watch killed": watched.kill,
        }
        begun = time.monotonic()
        for n, (name, content) in enumerate(wanted.items()):
            if n in when:
                kind = list(kinds)[when.index(n) % len(kinds)]
                done[kind] += 1
                threading.Thread(target=kinds[kind]).start()
            camera.press({f"{name}.JPG": content})
            time.sleep(max(0.0, begun + (n + 1) / RATE - time.monotonic()))
        shot_s = time.monotonic() - begun
        _until(lambda: len(_judged(folder)) >= frames)
        lag = time.monotonic() - begun - shot_s
        time.sleep(1)
        watched.end()
        here = {path.stem: path for path in folder.glob("*.JPG")}
        equal = sum(here[k].read_bytes() == wanted[k] for k in wanted.keys() & here.keys())
        judged = _judged(folder)
        left = [p.name for p in folder.iterdir() if p.name.startswith(".")]
        twice = [name for name, n in Counter(name for _, name in watched.told).items() if n > 1]
    told = ", ".join(f"{n} {kind}" for kind, n in done.items())
    print(f"{frames} frames, {RATE:g} a second, {mishaps} mishaps: {told}; done {lag:.1f} s after")
    return all(
        [
            report("frames missing in the folder", frames - len(here), 0),
            report("frames too many in the folder, parts left", len(left) + len(here) - frames, 0),
            report("frames with other bytes than the camera's", len(here) - equal, 0),
            report("frames without a judgement", frames - len(set(judged)), 0),
            report("frames judged twice", len(judged) - len(set(judged)) + len(twice), 0),
        ]
    )


def latency(rounds: int) -> bool:
    """From announcement to printed verdict, against the transfer and the folder by themselves."""
    picture = large_frame(24, quality=98)
    with tempfile.TemporaryDirectory(prefix="tether-camera-") as place, Camera() as camera:
        folder = Path(place)
        watched = Watched(folder, camera)
        _until(lambda: camera.connected)
        time.sleep(2)
        from_folder, from_camera = [], []
        for n in range(rounds + 1):
            part = folder / ".part"
            part.write_bytes(numbered(picture, 2 * n))
            begun = time.monotonic()
            part.rename(folder / f"here-{n}.jpg")
            from_folder.append(_told(watched, f"here-{n}") - begun)
            time.sleep(0.7)  # a soft frame is looked at once more: let it be done with
            begun = time.monotonic()
            camera.press({f"there-{n}.JPG": numbered(picture, 2 * n + 1)})
            from_camera.append(_told(watched, f"there-{n}") - begun)
            time.sleep(0.7)
        alone = _transfer(camera, rounds)
        both = pair("pair")
        begun = time.monotonic()
        camera.press(dict(reversed(both.items())))  # the raw is announced first
        pair_s = _told(watched, "pair") - begun
        _until((folder / "pair.DNG").exists)
        raw_s = time.monotonic() - begun
        differ = sum((folder / name).read_bytes() != content for name, content in both.items())
        watched.end()
    f, c, t = (1000 * statistics.median(x[1:]) for x in (from_folder, from_camera, alone))
    print(
        f"\n24 megapixels, {len(picture) / 1e6:.1f} MB, {rounds} rounds, medians: transfer alone "
        f"{t:.0f} ms, from folder to verdict {f:.0f} ms, from announcement to verdict {c:.0f} ms"
    )
    good = report("announcement to verdict beyond transfer and folder", c - t - f, 100, "ms")
    sizes = " and ".join(f"{len(content) / 1e6:.0f} MB" for content in both.values())
    print(f"45-megapixel pair, {sizes}: verdict after {pair_s:.2f} s, raw here after {raw_s:.2f} s")
    return good & report("files of the pair with other bytes", differ, 0)


def idle(seconds: float) -> bool:
    """Processor time of the watch and its processes while a connected camera does nothing."""
    with tempfile.TemporaryDirectory(prefix="tether-camera-") as place, Camera() as camera:
        watched = Watched(Path(place), camera)
        _until(lambda: camera.connected)
        time.sleep(3)
        before = _spent(watched.process.pid)
        time.sleep(seconds)
        after = _spent(watched.process.pid)
        watched.end()
    share = {name: 100 * (after[name] - before.get(name, 0.0)) / seconds for name in after}
    parts = ", ".join(f"{name} {part:.2f} %" for name, part in sorted(share.items()))
    print(f"\nidle for {seconds:.0f} s with a camera connected: {parts}")
    return report("of one core, all processes", sum(share.values()), 3.0, "%")


def _stall(camera: Camera) -> None:
    camera.faults.stall_s, camera.faults.stall_after = 3.0, 1


def _off(camera: Camera) -> None:
    camera.leave()
    time.sleep(2)
    camera.come()


def _judged(folder: Path) -> list[str]:
    reader = Reader(folder)
    try:
        return [row.name for row in reader.rows_since(0)]
    finally:
        reader.close()


def _told(watched: Watched, name: str) -> float:
    _until(lambda: any(told == name for _, told in list(watched.told)))
    return next(when for when, told in watched.told if told == name)


def _transfer(camera: Camera, rounds: int) -> list[float]:
    """Seconds that the camera library takes for the file, with nothing around it."""
    code = """
import sys, time, tempfile
from tether.arrivals.camera.device import Device
device = Device()
device.open(sys.argv[1], "camera")
file = device.files()[-1]
with tempfile.TemporaryDirectory() as place:
    for n in range(int(sys.argv[2])):
        begun = time.monotonic()
        device.fetch(file.folder, file.name, f"{place}/{n}")
        print(time.monotonic() - begun)
device.close()
"""
    with tempfile.TemporaryDirectory() as home:
        done = subprocess.run(
            [sys.executable, "-c", code, camera.address, str(rounds + 1)],
            capture_output=True, text=True, check=True,
            env={**os.environ, "XDG_CONFIG_HOME": home},
        )  # fmt: skip
    return [float(line) for line in done.stdout.split()]


def _spent(pid: int) -> dict[str, float]:
    watch = psutil.Process(pid)
    found = {"watch": watch.cpu_times()}
    for child in watch.children(recursive=True):
        camera = any("camera.serving" in part for part in child.cmdline())
        found["camera" if camera else "other"] = child.cpu_times()
    return {name: times.user + times.system for name, times in found.items()}


def _until(true: Callable[[], bool]) -> None:
    deadline = time.monotonic() + _PATIENCE_S
    while not true() and time.monotonic() < deadline:
        time.sleep(0.005)


def main() -> None:
    """Print the tables; exit with 1 if a figure is over."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true", help="60 frames, few rounds")
    parser.add_argument("--seed", type=int, default=1, help="of the mishaps")
    asked = parser.parse_args()
    # The camera library keeps what a network camera knows it by: not among the user's own.
    with tempfile.TemporaryDirectory() as home:
        os.environ["XDG_DATA_HOME"] = home
        good = [
            soak(*((60, 6) if asked.short else (500, 20)), seed=asked.seed),
            latency(5 if asked.short else 15),
            idle(5 if asked.short else 30),
        ]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
