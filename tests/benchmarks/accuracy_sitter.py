"""How well an eye is compared with the reference's once the sitter has moved.

`python -m tests.benchmarks.accuracy_sitter` prints a table, in a minute and a half. Two portraits
are put elsewhere before another part of a wall, turned, nearer or looking aside, blurred by a known
Gaussian and made noisy; eyes are found as in any frame. There are two faces and nobody blinks: the
table tells of these.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from tests.portraits import U8
from tests.sitters import Sitter, backdrop, grained, put, sitters
from tether.frame import nearest_eye
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Eye, FocusArea, Source
from tether.reference import Reference
from tether.sharpness.curve import ToneCurve
from tether.sharpness.relative import Comparison

FRAME = (1600, 2400)
EACH = 30
BLURS = (0.0, 0.0, 2.0, 4.0)
"""10–90 % rise of what is added, px; half of the frames are as sharp as the reference."""


@dataclass
class Row:
    """Sums of one kind of change."""

    added: list[tuple[float, Comparison]] = field(default_factory=list)
    before: int = 0
    missed: int = 0

    def line(self, name: str) -> str:
        """The row of the table."""
        told = [(px, one) for px, one in self.added if one.added_95 is not None]
        held = [one.added_95[0] <= px <= one.added_95[1] for px, one in told if one.added_95]
        same = [one for px, one in told if px == 0]
        ratios = np.array([one.ratio for one in same], float)
        wrong = [one.ratio_95 is not None and one.ratio_95[0] > 1.05 for one in same]
        soft = [
            one.added_95 is not None and one.added_95[0] > 0 for px, one in told if px >= BLURS[-1]
        ]
        count = max(1, len(self.added))
        off = f"{np.quantile(np.abs(ratios - 1), 0.9):.1%}" if same else "-"
        return (
            f"{name:26}{len(self.added):>5}{self.before / count:>9.0%}{len(told) / count:>10.0%}"
            f"{_share(held):>8}{off:>14}"
            f"{_share(wrong):>15}{_share(soft):>11}"
        )


def _share(some: list[bool]) -> str:
    return f"{np.mean(some):.0%}" if some else "-"


def frame(sitter: Sitter, at: tuple[int, int], rng: np.random.Generator) -> U8:
    """A sitter at a place before a wall, with grain."""
    made = backdrop("brick", FRAME).copy()
    put(made, sitter, *at)
    return grained(made, 0.006, rng)


def seen(made: U8) -> tuple[Eye, ...]:
    """The eyes that are found, the nearest first."""
    return nearest_eye.ask(Picture(made, Tags()), None).eyes


def tried(
    row: Row,
    sitter: Sitter,
    change: Callable[[Sitter, float], Sitter],
    blur: float,
    rng: np.random.Generator,
) -> None:
    """Take a reference and a frame, and compare them at the same place and at the eyes' own."""
    eyes_px = float(np.exp(rng.uniform(np.log(90), np.log(260))))
    first = sitter.sized(eyes_px)
    other = change(sitter, eyes_px)
    other = other.blurred(blur) if blur else other
    reach = 2.2 * eyes_px
    places = [
        (
            round(rng.uniform(reach, FRAME[1] - reach) - one.eyes[:, 0].mean()),
            round(rng.uniform(reach, FRAME[0] - reach) - one.eyes[:, 1].mean()),
        )
        for one in (first, other)
    ]
    frames = [frame(one, at, rng) for one, at in zip((first, other), places, strict=True)]
    there, here = (seen(one) for one in frames)
    if not there or not here:
        row.missed += 1
        return
    areas = [FocusArea(eyes[0].rect, Source.NEAREST_EYE) for eyes in (there, here)]
    alone = Reference(frames[0], ToneCurve.SRGB)
    row.before += alone.against(frames[1], ToneCurve.SRGB, areas[1], here).ratio is not None
    one = Reference(frames[0], ToneCurve.SRGB, area=areas[0], eyes=there)
    row.added.append((blur, one.against(frames[1], ToneCurve.SRGB, areas[1], here)))


def turned(deg: float) -> Callable[[Sitter, float], Sitter]:
    """The head leant over by so many degrees."""
    return lambda sitter, px: sitter.sized(px, deg)


def nearer(times: float) -> Callable[[Sitter, float], Sitter]:
    """The sitter so much larger."""
    return lambda sitter, px: sitter.sized(px * times)


def aside(deg: float) -> Callable[[Sitter, float], Sitter]:
    """The head turned aside."""
    return lambda sitter, px: sitter.yawed(deg).sized(px)


def main() -> None:
    """Print the table."""
    begun = time.perf_counter()
    kinds: dict[str, Callable[[Sitter, float], Sitter]] = {
        "elsewhere": lambda sitter, px: sitter.sized(px),
        **{f"leaning by {deg}°": turned(deg) for deg in (1, 2, 4, 8)},
        **{f"larger by {100 * (t - 1):.0f} %": nearer(t) for t in (1.01, 1.03, 1.06, 1.12)},
        **{f"looking aside by {deg}°": aside(deg) for deg in (2, 5, 10)},
    }
    print(f"{'':26}{'n':>5}{'compared at':>19}{'held':>8}{'as sharp: off':>14}{'called 5 %':>15}"
          f"{'4 px more':>11}")  # fmt: skip
    print(f"{'':26}{'':5}{'place':>9}{'own eye':>10}{'':8}{'90 %':>14}{'softer':>15}"
          f"{'seen':>11}")  # fmt: skip
    rng = np.random.default_rng(23)
    every = Row()
    for name, change in kinds.items():
        row = Row()
        for number in range(EACH):
            tried(row, sitters()[number % 2], change, BLURS[number // 2 % len(BLURS)], rng)
        print(row.line(name), flush=True)
        every.added += row.added
        every.before += row.before
        every.missed += row.missed
    print(every.line("all"))
    print(f"\n{every.missed} frames without eyes; {time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
