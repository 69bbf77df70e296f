"""How often a drift is named where there is none, and how early where there is one.

`python -m tests.benchmarks.drift` prints tables of simulated sessions, in some six minutes; then
of rendered frames that go through the judge, each against the reference, in fifteen more (`--short`
leaves those out, `--rendered` the others). Scatter is the standard deviation of the logarithm of
edge widths from frame to frame: 3 % is a camera on a tripod focused by hand, 10 to 20 % one that
focuses anew each time (common practice, no source). One frame in 25 is an outlier, 1.5 to 4 times
as wide.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mocks.shoot import Shot, render
from tether.judge import Asked, judge
from tether.model import Exposure, Judgement, Verdict
from tether.reference import Answer, Reference
from tether.session.drifts import Drifts
from tether.settings import load
from tether.verdict.drift import Drift, Seen, drift

F = NDArray[np.float64]
Scatter = Callable[[int, float, np.random.Generator], F]

SHARP_PX, LIMIT_PX = 2.0, 4.0
"""What the lens gives, and the limit of the preset for portraits."""

HALF = 0.05
"""Half the 95 % interval against a reference, of the logarithm: its median in practice."""

OUTLIERS = 0.04
SCATTERS = (0.03, 0.10, 0.15, 0.20)
RATES = (0.02, 0.03, 0.05)
STEADY, LENGTH = 50, 100
DRIFTS = 80
RENDERED = 4
TAKEN = Exposure(1 / 125, 8, 85.0, 100, "Studio 85mm f/1.8", "Studio One", 20.0)
BEGAN = datetime(2026, 5, 14, 10, tzinfo=UTC)


def even(count: int, scatter: float, rng: np.random.Generator) -> F:
    """Scatter to either side."""
    return rng.normal(0, scatter, count)


def one_sided(count: int, scatter: float, rng: np.random.Generator) -> F:
    """Scatter as misses of the focus make it: the blur adds in squares, and only widens."""
    return 0.5 * np.log1p(2 * scatter * rng.normal(0, 1, count) ** 2)


def slow(count: int, scatter: float, rng: np.random.Generator) -> F:
    """Scatter in which each frame is half the one before: hands and sitters that sway."""
    step = rng.normal(0, scatter * math.sqrt(0.75), count)
    out = np.zeros(count)
    for number in range(count):
        out[number] = step[number] + (0.5 * out[number - 1] if number else 0.0)
    return out


KINDS: dict[str, Scatter] = {"to either side": even, "one-sided": one_sided, "swaying": slow}


@dataclass(frozen=True, slots=True)
class Session:
    """Logarithms of edge widths: as they would be without scatter, and with it; the outliers."""

    level: F
    seen: F
    outlier: NDArray[np.bool_]

    def first_soft(self) -> int:
        """The first frame that is soft and is no outlier."""
        soft = (self.seen - HALF > math.log(LIMIT_PX)) & ~self.outlier
        return int(np.argmax(soft)) if soft.any() else len(self.seen)


def session(level: F, kind: Scatter, scatter: float, rng: np.random.Generator) -> Session:
    """Frames at a level (logarithms of times `SHARP_PX`) with scatter and outliers."""
    outlier = rng.random(len(level)) < OUTLIERS
    seen = level + kind(len(level), scatter, rng) + math.log(SHARP_PX)
    seen = seen + np.where(outlier, np.log(rng.uniform(1.5, 4, len(level))), 0.0)
    return Session(level, seen, outlier)


def named(seen: F, half: float = HALF) -> list[Drift | None]:
    """What is found after each frame."""
    px = np.exp(seen)
    frames = [
        Seen(f"bowl-{number}", float(one), float(one * np.exp(-half)), float(one * np.exp(half)))
        for number, one in enumerate(px, 1)
    ]
    return [drift(frames[: number + 1], LIMIT_PX) for number in range(len(frames))]


def false_alarms(rng: np.random.Generator) -> None:
    """Print what is named in sessions that do not drift."""
    print(f"steady sessions of {LENGTH} frames; of 1,000 frames, how many name a drift\n")
    print(f"{'scatter':18}" + "".join(f"{one:>9.0%}" for one in SCATTERS) + f"{'all':>9}")
    for name, kind in KINDS.items():
        rates = []
        for scatter in SCATTERS:
            found = [
                one is not None
                for _ in range(STEADY)
                for one in named(session(np.zeros(LENGTH), kind, scatter, rng).seen)
            ]
            rates.append(1000 * float(np.mean(found)))
        told = "".join(f"{one:>9.1f}" for one in (*rates, np.mean(rates)))
        print(f"{name:18}{told}", flush=True)


def ramp(rate: float, lead: int, count: int) -> F:
    """The level of a session that widens by a share of the sharp width a frame."""
    return np.log1p(rate * np.maximum(0, np.arange(count) - lead))


def drifts(rng: np.random.Generator) -> None:
    """Print how many drifts are named before the first soft frame, and how long before."""
    print(f"\ndrifts of {SHARP_PX:g} px at the start, {LIMIT_PX:g} allowed: named before the first "
          "soft frame; how many\nframes before it (median); frames left to the limit, told less "
          "true, when first named\n")  # fmt: skip
    print(f"{'a frame':10}{'scatter':>9}{'n':>6}{'named':>8}{'before':>8}{'left: off':>11}"
          f"{'90 %':>7}")  # fmt: skip
    every: list[bool] = []
    for rate in RATES:
        for scatter in SCATTERS:
            ahead, off = [], []
            for _ in range(DRIFTS):
                lead = int(rng.integers(5, 25))
                one = session(ramp(rate, lead, lead + 100), even, scatter, rng)
                first = one.first_soft()
                found = named(one.seen[:first])
                at = next((n for n in range(lead, first) if found[n] is not None), None)
                ahead.append(first - at if at is not None else 0)
                told = found[at] if at is not None else None
                if at is not None and told is not None and told.left is not None:
                    reached = lead + (LIMIT_PX / SHARP_PX - 1) / rate
                    off.append(told.left - (reached - at))
            every += [one > 0 for one in ahead]
            before = np.median([one for one in ahead if one > 0])
            print(f"{rate:<10.0%}{scatter:>9.0%}{len(ahead):>6}"
                  f"{np.mean([one > 0 for one in ahead]):>8.0%}{before:>8.0f}"
                  f"{np.median(off):>+11.0f}{np.quantile(np.abs(off), 0.9):>7.0f}",
                  flush=True)  # fmt: skip
    print(f"{'all':19}{len(every):>6}{np.mean(every):>8.0%}")


def steps(rng: np.random.Generator) -> None:
    """Print after how many frames a step is named, and whether the right frame is."""
    print("\nall frames 30 % wider from one on: named within so many frames; the frame it began at "
          "within two\n")  # fmt: skip
    print(f"{'scatter':>9}{'n':>6}{'half':>8}{'in 10':>8}{'in 20':>8}{'where':>8}")
    for scatter in SCATTERS:
        after, right = [], []
        for _ in range(DRIFTS):
            lead = int(rng.integers(8, 25))
            level = np.where(np.arange(lead + 20) >= lead, math.log(1.3), 0.0)
            found = named(session(level, even, scatter, rng).seen)
            at = next((n for n in range(lead, len(found)) if found[n] is not None), None)
            after.append(99 if at is None else at - lead + 1)
            one = found[at] if at is not None else None
            if one is not None:
                right.append(abs(int(one.since.removeprefix("bowl-")) - 1 - lead) <= 2)
        counts = np.array(after)
        print(f"{scatter:>9.0%}{len(after):>6}{np.median(counts):>8.0f}"
              f"{np.mean(counts <= 10):>8.0%}{np.mean(counts <= 20):>8.0%}{np.mean(right):>8.0%}",
              flush=True)  # fmt: skip


def ends(rng: np.random.Generator) -> None:
    """Print how long a drift is named once the focus is put right."""
    print("\nput right after 20 frames of drift (3 % a frame): frames that name it still\n")
    print(f"{'scatter':>9}{'n':>6}{'the next':>10}{'of ten':>8}{'of the ten after':>18}")
    for scatter in SCATTERS:
        flags = []
        for _ in range(DRIFTS):
            level = np.concatenate([ramp(0.03, 10, 30), np.zeros(20)])
            found = named(session(level, even, scatter, rng).seen)
            flags.append([one is not None for one in found[30:]])
        some = np.array(flags)
        print(f"{scatter:>9.0%}{len(some):>6}{some[:, 0].mean():>10.0%}"
              f"{some[:, :10].mean():>8.0%}{some[:, 10:].mean():>18.0%}", flush=True)  # fmt: skip


CREEP = {"steady": 0.0, "creeps 0.15 px": 0.15, "creeps 0.25 px": 0.25, "creeps 0.4 px": 0.4}
MISSES = (0.3, 0.8, 1.2)


def shoot(creep: float, miss: float, frames: int, folder: Path, seed: int) -> list[Judgement]:
    """Frames of the rehearsal's bowl as a watch judges them one after the other.

    The blur disk's diameter grows by `creep` px a frame from the tenth on, and is off by a miss of
    this standard deviation, px, to either side.
    """
    rng = np.random.default_rng(seed)
    settings = load("product")
    drifts = Drifts(folder)
    reference: Reference | None = None
    told = []
    for number in range(frames):
        focus = creep * max(0, number - 9) + rng.normal(0, miss)
        shot = Shot("bowl", 100 * seed + number, "", TAKEN, "label", focus=-float(focus))
        path = folder / shot.name
        path.write_bytes(render(shot))
        now = BEGAN + timedelta(seconds=7 * number)
        asked = Asked(path, path.stem, now, time.monotonic(), folder)
        judged = judge(asked, settings, partial(_known, reference))
        path.unlink()
        one = judged.judgement
        interval = one.against.ratio_95 if one.against else None
        # As the watch keeps the sharpest so far.
        sharper = reference is None or (interval is not None and interval[1] < 1)
        if sharper and one.verdict is not Verdict.SOFT and judged.pixels is not None:
            reference = replace(judged.pixels, number=number)
        told.append(drifts.taken(one, None))
        if one.verdict is Verdict.SOFT:
            break
    return told


def _known(reference: Reference | None, _: Exposure) -> Answer:
    return Answer(reference)


def rendered() -> None:
    """Print what is named in rendered frames, steady and with a focus ring that creeps."""
    print("\nrendered frames through the judge, until the first soft one or 60: sessions, scatter "
          "of the widths,\nsessions in which a drift is named before that, frames before it "
          "(median), frames that name one of all\n")  # fmt: skip
    print(f"{'disk grows':18}{'miss, px':>9}{'n':>5}{'scatter':>9}{'named':>8}{'before':>8}"
          f"{'frames':>12}")  # fmt: skip
    with tempfile.TemporaryDirectory(prefix="tether-drift-") as place:
        for name, creep in CREEP.items():
            for miss in MISSES:
                named, before, frames, flagged, scatter = [], [], 0, 0, []
                for seed in range(RENDERED):
                    told = shoot(creep, miss, 60, Path(place), seed)
                    says = [any(map(is_drift, one.advice)) for one in told]
                    end = len(told) - (told[-1].verdict is Verdict.SOFT)
                    named.append(any(says[:end]))
                    if any(says[:end]):
                        before.append(len(told) - 1 - says.index(True))
                    frames, flagged = frames + end, flagged + sum(says[:end])
                    first = [one.measurement.widest for one in told[:10] if one.measurement]
                    scatter.append(np.std([math.log(width.px) for width in first if width]))
                early = f"{np.median(before):.0f}" if before else "-"
                print(f"{name:18}{miss:>9.1f}{len(named):>5}{np.median(scatter):>9.0%}"
                      f"{np.mean(named):>8.0%}{early:>8}{flagged:>6} of {frames}",
                      flush=True)  # fmt: skip


def is_drift(line: str) -> bool:
    """Whether a line of advice names a drift."""
    return line.startswith("Drift: ")


def main() -> None:
    """Print the tables."""
    begun = time.perf_counter()
    rng = np.random.default_rng(17)
    if "--rendered" not in sys.argv:
        simulated(rng)
    if "--short" not in sys.argv:
        rendered()
    print(f"\n{time.perf_counter() - begun:.0f} s")


def simulated(rng: np.random.Generator) -> None:
    """Print the tables of simulated sessions, and what looking for a drift takes."""
    false_alarms(rng)
    drifts(rng)
    steps(rng)
    ends(rng)
    one = session(np.zeros(48), even, 0.1, rng).seen
    at = time.perf_counter()
    for _ in range(20):
        named(one)[-1]
    print(f"\none frame takes {1000 * (time.perf_counter() - at) / 20 / 48:.1f} ms")


if __name__ == "__main__":
    main()
