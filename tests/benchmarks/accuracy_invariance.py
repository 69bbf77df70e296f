"""How far the edge width of one picture moves when light, flare, noise or quality change.

The same part of a subject with the same blur is recorded once plainly and once each with what must
not matter; a reading moved too far if the plain one lies outside its 95 % interval.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from calibration.photographs import Content
from tests.benchmarks.areas import cut, within
from tests.benchmarks.scored import subjects
from tests.benchmarks.timing import report
from tests.sharpness.pictures import F, blur, disk, expose, gauss, join, path
from tether.model import EdgeWidth, Measurement
from tether.sharpness.measure import measure

EACH = 6
PLAIN: dict[str, Any] = {"gain": 0.6, "veil": 0.0, "noise": 0.004, "grain": True, "quality": 98}
CHANGES: dict[str, dict[str, Any]] = {
    "recorded again": {},
    "three stops darker": {"gain": 0.075},
    "flare, three tenths of the light": {"veil": 0.3},
    "noise of three stops more": {"noise": 0.004 * 8**0.5},
    "quality 85": {"quality": 85},
    "all of them, flare halved": {"gain": 0.075, "veil": 0.15, "noise": 0.011, "quality": 85},
}
_SEED = 31


class _Pair(NamedTuple):
    """The plain reading, px, and the one after a change."""

    first: float
    then: EdgeWidth | None


def main(folder: Path | None = None) -> bool:
    """Print how far readings move; True if they stay in their intervals as promised."""
    rng = np.random.default_rng(_SEED)
    found: dict[str, list[_Pair]] = {name: [] for name in CHANGES}
    for some in subjects(folder).values():
        for _ in range(EACH):
            light = _taken(some, rng)
            first = _read(light, {}, rng)
            if first.widest is None:
                continue
            for name, change in CHANGES.items():
                then = _read(light, change, rng)
                found[name].append(_Pair(first.widest.px, then.widest))
    print(f"{'':36}{'areas':>7}{'judged':>8}{'moved by':>10}{'90 %':>7}{'beyond its interval':>21}")
    worst = 0.0
    for name, pairs in found.items():
        kept = [(first, then) for first, then in pairs if then is not None]
        by = np.array([abs(np.log(then.px / first)) for first, then in kept])
        out = float(np.mean([not then.lo <= first <= then.hi for first, then in kept]))
        worst = max(worst, out)
        print(f"{name:36}{len(pairs):>7}{len(kept) / len(pairs):>8.0%}{np.median(by):>10.1%}"
              f"{np.quantile(by, 0.9):>7.0%}{out:>21.1%}")  # fmt: skip
    print()
    return report("moved beyond the interval, the worst of these", 100 * worst, 5, "%")


def _taken(some: list[Content], rng: np.random.Generator) -> F:
    content = some[int(rng.integers(len(some)))]
    lens = gauss(0.5)
    kernel = lens
    kind = int(rng.integers(3))
    if kind == 1:
        kernel = join(disk(rng.uniform(2, 14)), lens)
    elif kind == 2:
        kernel = join(path(rng.uniform(4, 12), rng.uniform(0, 180), 0.0), lens)
    return blur(cut(content.light, rng), kernel)


def _read(light: F, change: dict[str, Any], rng: np.random.Generator) -> Measurement:
    picture = expose(light, rng, **{**PLAIN, **change})
    return measure(picture, within(picture))


if __name__ == "__main__":
    main()
