"""Whether every slate that can be read is acted on, nothing else is, and what looking costs.

`python -m tests.benchmarks.slates [--short]` prints tables, in some eight minutes; --short draws
40 slates and 210 ordinary frames. A slate counts as readable where zxing-cpp alone reads its code
in the frame's pixels about it, cut out at full size. Frames are rendered, or photographs that
scikit-image and scikit-learn carry, made as large: the tables tell of these.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path

import numpy as np
import simplejpeg

from mocks.large import large_frame
from mocks.slate import KINDS, Slate
from tests.benchmarks.timing import in_turn, report
from tests.ordinary import ordinary
from tests.pictures import jpeg
from tests.sitters import backdrop
from tests.slated import BACKDROPS, TEXTS, Taken, cut, frame_with
from tether.frame import slate
from tether.frame.scanned import BARS, QR, scan
from tether.judge import Asked, judge, warm
from tether.settings import Settings, load
from tether.settings import Slate as Codes

READABLE, ORDINARY = 200, 2000
SHARES = (0.04, 0.055, 0.08, 0.12, 0.18, 0.25)
SIZES = ((6000, 4000), (6000, 4000), (3000, 2000), (1800, 1200))
ROUNDS = 15


@dataclass(frozen=True, slots=True)
class Trial:
    """A slate, how its frame was taken, whether its code can be read, and what was said."""

    held: Slate
    how: Taken
    width: int
    readable: bool
    said: slate.Slate | None

    @property
    def right(self) -> bool:
        """Whether it was acted on with its own code."""
        said = self.said
        return said is not None and not said.refused and said.code == self.held.text


def main() -> None:
    """Print the tables; exit with 1 if a figure is over."""
    short = "--short" in sys.argv
    good = every_slate(READABLE // 5 if short else READABLE)
    good &= no_other(210 if short else ORDINARY)
    good &= cost()
    sys.exit(0 if good else 1)


def every_slate(readable: int) -> bool:
    """Slates of all kinds, sizes and mishaps, until so many of them can be read."""
    trials: list[Trial] = []
    for trial in drawn(np.random.default_rng(6)):
        trials.append(trial)
        if sum(one.readable for one in trials) == readable:
            break
    print(f"{len(trials)} slates; acted on, of those that zxing-cpp reads on the crop; and others")
    tables: dict[str, Callable[[Trial], object]] = {
        "code": lambda one: one.held.kind,
        "of the frame's width": lambda one: f"{one.held.share:.1%}",
        "frame, px wide": lambda one: one.width,
        "turned": lambda one: steps(one.held.turn_deg),
        "tilted or leaning": lambda one: steps(max(one.held.tilt_deg, one.held.lean_deg, key=abs)),
        "blur disk, px": lambda one: one.how.defocus_px,
        "stops under": lambda one: one.how.stops_under,
        "shown": lambda one: shown(one.held),
    }
    for title, of in tables.items():
        rows: dict[object, list[Trial]] = defaultdict(list)
        for one in trials:
            rows[of(one)].append(one)
        print(f"  {title}")
        for name in sorted(rows, key=str):
            some = rows[name]
            can = [one for one in some if one.readable]
            more = sum(one.right and not one.readable for one in some)
            print(f"    {name!s:24} {sum(one.right for one in can):4} of {len(can):3} {more:6}")
    missed = [one for one in trials if one.readable and not one.right]
    for one in missed:
        print("  missed:", one)
    wrong = sum(one.said is not None and not one.right for one in trials)
    return all(
        [
            report("readable slates that were not acted on", len(missed), 0),
            report("slates whose code was told wrongly, or refused", wrong, 0),
        ]
    )


def drawn(rng: np.random.Generator) -> Iterator[Trial]:
    """Slates without end."""
    number = 0
    while True:
        number += 1
        kind = "qr" if rng.random() < 0.4 else KINDS[1 + number % (len(KINDS) - 1)]
        held = Slate(
            TEXTS[kind],
            kind,
            share=float(rng.choice(SHARES)),
            at=(float(rng.uniform(0.15, 0.85)), float(rng.uniform(0.2, 0.8))),
            turn_deg=float(rng.uniform(-30, 30) if rng.random() < 0.5 else rng.uniform(-8, 8)),
            tilt_deg=float(rng.uniform(-30, 30)),
            lean_deg=float(rng.uniform(-30, 30)),
            inverted=bool(rng.random() < 0.12),
            phone=bool(rng.random() < 0.15),
        )
        how = Taken(
            float(rng.choice([0, 1, 2, 3, 4])),
            float(rng.choice([0, 1, 2])),
            float(rng.choice([0.006, 0.015, 0.03])),
        )
        # Some frames on one ground before the next: each is large, and few are kept.
        size = SIZES[number // 10 % len(SIZES)]
        frame, about = frame_with(held, BACKDROPS[number // 40 % len(BACKDROPS)], size, how, rng)
        texts = {one.text for one in scan(cut(frame, about), (QR, *BARS))}
        yield Trial(held, how, size[0], held.text in texts, slate.read(frame))


def steps(deg: float) -> str:
    """Its angle in steps of ten degrees."""
    return f"{abs(deg) // 10 * 10:02.0f} to {abs(deg) // 10 * 10 + 10:.0f} degrees"


def shown(held: Slate) -> str:
    """What the code is shown on."""
    return f"{'telephone' if held.phone else 'card'}{', light on dark' if held.inverted else ''}"


def no_other(frames: int) -> bool:
    """Frames without a code, most of them made to look like one."""
    found: dict[str, list[bool]] = defaultdict(list)
    for name, frame in islice(ordinary(np.random.default_rng(7)), frames):
        told = slate.read(frame)
        found[name].append(told is not None)
        if told is not None:
            print("  taken for a slate:", name, told)
    print(f"{frames} ordinary frames")
    for name, slates in found.items():
        print(f"    {name:24} {sum(slates):4} of {len(slates):3} taken for slates")
    return report("ordinary frames taken for slates", sum(map(sum, found.values())), 0)


def cost() -> bool:
    """What looking for a slate adds to a frame's verdict, each judged with and without in turn."""
    warm()
    good = True
    rng = np.random.default_rng(8)
    with tempfile.TemporaryDirectory(prefix="tether-slates-") as place:
        held = Slate(TEXTS["ean13"], "ean13", share=0.12)
        files = {
            "24 megapixels, detail all over": large_frame(24),
            "45 megapixels, detail all over": large_frame(45),
            "24 megapixels, a page of print": jpeg(backdrop("page", (4000, 6000))),
            "24 megapixels, grass": jpeg(backdrop("grass", (4000, 6000))),
            "24 megapixels, a smooth frame": jpeg(backdrop("clock", (4000, 6000))),
            "24 megapixels, a slate": jpeg(frame_with(held, "bowl", (6000, 4000), Taken(), rng)[0]),
        }
        added: list[float] = []
        print("verdict of the product preset, ms: without and with looking for slates; added")
        for name, content in files.items():
            path = Path(place) / "frame.jpg"
            path.write_bytes(content)
            taken = in_turn({"none": judging(path, "none"), "any": judging(path, "any")}, ROUNDS)
            without, looking = (1000 * taken[which] for which in ("none", "any"))
            more = looking - without
            print(
                f"    {name:32} {np.median(without):6.0f} {np.median(looking):6.0f}"
                f" {np.median(more):6.1f}, 95 % within {np.quantile(more, 0.95):.1f}"
            )
            print(f"{'':40} the look alone, ms of a core: {alone(path)}")
            added += more.tolist() if "a slate" not in name and "24" in name else []
        good &= report("added at 24 megapixels, median", float(np.median(added)), 25, "ms")
        print(f"  95th percentile {np.quantile(added, 0.95):.1f} ms")
    return good


def alone(path: Path) -> str:
    """What the look takes of the processor, whoever else uses it: median and 95th percentile."""
    luma = np.asarray(simplejpeg.decode_jpeg(path.read_bytes(), colorspace="GRAY")[..., 0])
    taken = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        slate.read(luma)
        taken.append(1000 * (time.process_time() - begun))
    return f"{np.median(taken):.1f}, 95 % within {np.quantile(taken, 0.95):.1f}"


def judging(path: Path, codes: str) -> Callable[[], object]:
    """Judge a file, with these codes making slates."""
    preset = load("product")
    settings: Settings = preset.model_copy(update={"slate": Codes.model_validate({"codes": codes})})

    def verdict() -> object:
        asked = Asked(path, path.stem, datetime.now().astimezone(), time.monotonic(), path.parent)
        return judge(asked, settings)

    return verdict


if __name__ == "__main__":
    main()
