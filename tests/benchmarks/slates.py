"""Whether every slate that can be read is acted on, nothing else is, and what looking costs.

`python -m tests.benchmarks.slates [--short]` prints tables, in some nine minutes; --short draws
40 slates and 210 ordinary frames. A slate counts as readable where zxing-cpp alone reads its code
in the frame's pixels about it, cut out at full size. Each is looked for twice: with its code on the
shot list, and without a list, where bar codes must be large and have a check digit. Frames are
rendered, or photographs that scikit-image and scikit-learn carry, made as large: the tables tell of
these.
"""

from __future__ import annotations

import math
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

import numpy as np
import simplejpeg
import zxingcpp

from mocks.large import large_frame
from mocks.slate import KINDS, Slate, held, symbol
from tests.benchmarks.timing import report
from tests.ordinary import ordinary
from tests.pictures import jpeg
from tests.sitters import backdrop
from tests.slated import BACKDROPS, TEXTS, Taken, cut, frame_with
from tether.frame import slate
from tether.frame.scanned import BARS, QR

READABLE, ORDINARY = 200, 2000
SHARES = (0.04, 0.055, 0.08, 0.12, 0.18, 0.25)
SIZES = ((6000, 4000), (6000, 4000), (3000, 2000), (1800, 1200))
ROUNDS = 25
MISSED_BARS = 0.05  # of those that can be read: who can choose takes a QR code
NEAR = 0.05  # of the width that a bar code needs: there it may count or not
FORMATS = zxingcpp.barcode_formats_from_str(",".join((*QR, *BARS)))


@dataclass(frozen=True, slots=True)
class Trial:
    """A slate, how its frame was taken, whether its code can be read, and what was said.

    `seen` is how wide the code stands in the frame, of the frame's width; `listed` and `alone` what
    was said with its code on the shot list, and without a list.
    """

    held: Slate
    how: Taken
    width: int
    seen: float
    readable: bool
    listed: slate.Slate | None
    alone: slate.Slate | None

    @property
    def by_itself(self) -> bool | None:
        """Whether it has to count without a list; None where it is about as large as it must be."""
        if self.held.kind == "qr":
            return True
        if self.held.kind == "code39":  # without a check digit
            return False
        return None if abs(self.seen / slate.LARGE - 1) < NEAR else self.seen > slate.LARGE

    def right(self, said: slate.Slate | None) -> bool:
        """Whether it was acted on with its own code."""
        return acted_on(said) == self.held.text


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
        print(f"  {title}")
        table(trials, of, lambda one: one.listed)
    print("  without a list: counts by itself")
    table(trials, lambda one: one.by_itself, lambda one: one.alone)
    return all([*missed_and_wrong(trials)])


def table(
    trials: list[Trial],
    of: Callable[[Trial], object],
    said: Callable[[Trial], slate.Slate | None],
) -> None:
    """Print how many are acted on, by what they have in common."""
    rows: dict[object, list[Trial]] = defaultdict(list)
    for one in trials:
        rows[of(one)].append(one)
    for name in sorted(rows, key=str):
        can = [one for one in rows[name] if one.readable]
        more = sum(one.right(said(one)) for one in rows[name] if not one.readable)
        acted = sum(one.right(said(one)) for one in can)
        print(f"    {name!s:24} {acted:4} of {len(can):3} {more:6}")


def missed_and_wrong(trials: list[Trial]) -> Iterator[bool]:
    """Compare what was missed, and what was said wrongly, with what may be."""
    for name, some, most in (
        ("QR codes", [one for one in trials if one.held.kind == "qr"], 0.0),
        ("bar codes", [one for one in trials if one.held.kind != "qr"], MISSED_BARS),
    ):
        can = [one for one in some if one.readable]
        missed = [one for one in can if not one.right(one.listed)]
        share = len(missed) / max(len(can), 1)
        yield report(f"of readable {name} on the list, not acted on", share, most)
        alone = [one for one in can if one.by_itself and not one.right(one.alone)]
        must = max(sum(one.by_itself is True for one in can), 1)
        share = len(alone) / must
        yield report(f"of readable {name} without a list, not acted on", share, most)
        wrong = [
            one
            for one in some
            if any(acted_on(said) not in {None, one.held.text} for said in (one.listed, one.alone))
            or (one.by_itself is False and acted_on(one.alone) is not None)
        ]
        yield report(f"{name} told wrongly, or acted on where a list must say so", len(wrong), 0)
        refused = [one for one in some if one.listed is not None and one.listed.refused]
        yield report(f"{name} on the list that were refused", len(refused), 0)
        for one in (*missed, *alone, *wrong, *refused):
            print("  see:", one)


def acted_on(said: slate.Slate | None) -> str | None:
    """The code that opens a setup."""
    return None if said is None or said.refused else said.code


def drawn(rng: np.random.Generator) -> Iterator[Trial]:
    """Slates without end."""
    number = 0
    while True:
        number += 1
        kind = "qr" if rng.random() < 0.4 else KINDS[1 + number % (len(KINDS) - 1)]
        one = Slate(
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
        frame, about = frame_with(one, BACKDROPS[number // 40 % len(BACKDROPS)], size, how, rng)
        # As the library comes, with all that it tries.
        read = zxingcpp.read_barcodes(
            cut(frame, about), formats=FORMATS, text_mode=zxingcpp.TextMode.Plain
        )
        yield Trial(
            one,
            how,
            size[0],
            seen(one, *size),
            any(one.text in said_by(code) for code in read),
            slate.read(frame, "any", one.text.__eq__),
            slate.read(frame),
        )


def said_by(code: Any) -> set[str | None]:
    """A code's text, of a product with the digits that are printed, too: see `scanned`."""
    upc_e = (code.extra or {}).get("UPCE")
    return {code.text, upc_e or code.text[-13:].removeprefix("0")}


def seen(one: Slate, width: int, height: int) -> float:
    """How wide a code stands in a frame, of the frame's width, however it is turned and tilted."""
    corners = held(one, width, height).corners
    modules = int(symbol(one.kind, one.text).shape[1])
    quiet = {"qr": 4, "itf": 22}.get(one.kind, 11)
    return math.dist(corners[0], corners[1]) * modules / (modules + 2 * quiet) / width


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
    """What the look takes of the processor, each time in a frame that was just decoded."""
    slate.warm()
    shown = Slate(TEXTS["ean13"], "ean13", share=0.12)
    with_slate = frame_with(shown, "bowl", (6000, 4000), Taken(), np.random.default_rng(8))[0]
    files = {
        "24 megapixels, detail all over": large_frame(24),
        "24 megapixels, a page of print": jpeg(backdrop("page", (4000, 6000))),
        "24 megapixels, grass": jpeg(backdrop("grass", (4000, 6000))),
        "24 megapixels, a smooth frame": jpeg(backdrop("clock", (4000, 6000))),
        "24 megapixels, a slate": jpeg(with_slate),
        "45 megapixels, detail all over": large_frame(45),
    }
    taken: dict[str, list[tuple[float, float]]] = defaultdict(list)
    # In turn, so that whatever else the machine does is fair to all of them.
    for counts in [False] + [True] * ROUNDS:
        for name, content in files.items():
            one = looked(content)
            taken[name] += [one] if counts else []
    print("the look, ms of a core; beside it what copying all of the frame takes of it")
    ordinary: list[float] = []
    for name, both in taken.items():
        look, copy = (list(one) for one in zip(*both, strict=True))
        print(
            f"    {name:32} {np.median(look):6.1f}, 95 % within {np.quantile(look, 0.95):5.1f}"
            f" {np.median(copy):8.1f}"
        )
        ordinary += look if "24" in name and "slate" not in name else []
    good = report("ordinary frames of 24 megapixels, median", float(np.median(ordinary)), 4, "ms")
    print(f"  95th percentile {np.quantile(ordinary, 0.95):.1f} ms")
    return good


def looked(content: bytes) -> tuple[float, float]:
    """Ms of the processor that looking at a frame takes, and copying it."""
    luma = np.asarray(simplejpeg.decode_jpeg(content, colorspace="GRAY")[..., 0])
    begun = time.process_time()
    slate.read(luma)
    done = time.process_time()
    luma.copy()
    return 1000 * (done - begun), 1000 * (time.process_time() - done)


if __name__ == "__main__":
    main()
