"""How well the edge width of an area is told, next to three measures in common use.

The limit below was set on the calibration's own subjects. How unsure a width may be before it is no
answer (`tether.sharpness.sizes.WIDEST_INTERVAL`) and how few edges are enough
(`tether.sharpness.measure.FEWEST`) were settled after seeing these tables, and so were the sides of
the areas. Printed: what was promised, and where it fails, the worst ten with pictures
of their areas.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from sklearn.metrics import roc_auc_score

from tests.benchmarks.areas import KINDS, Trial, bracket, trials
from tests.benchmarks.scored import subjects
from tests.benchmarks.timing import report
from tether.model import Rect, Verdict
from tether.sharpness.measure import MARGIN, measure
from tether.verdict.decide import decide

F = NDArray[np.float64]
ADDED = 2.5
LIMIT_PX = 3.4
"""Between the sharp areas here, 2 to 3 px wide, and what 2.5 px more makes of them."""

_SEED = 2026
_SHARP, _BLURRED = 480, 240
_BINS = ((0, 2.5), (2.5, 4), (4, 6.5), (6.5, 12), (12, 20))


def main(folder: Path | None = None) -> bool:
    """Print the tables; True if every figure is within what was promised."""
    rng = np.random.default_rng(_SEED)
    begun = time.perf_counter()
    pictures = subjects(folder)
    counts = (_SHARP, *[_BLURRED] * (len(KINDS) - 1))
    found = [
        t for kind, n in zip(KINDS, counts, strict=True) for t in trials(pictures, kind, n, rng)
    ]
    took = time.perf_counter() - begun
    print(f"{len(found)} areas of {len(pictures)} subjects, {took:.0f} s\n")
    good = [_widths(found), _sorting(found), _movement(found), _brackets(pictures, rng), _times()]
    _worst(found)
    return all(good)


def _widths(found: list[Trial]) -> bool:
    print(f"{'kind':10}{'width px':>10}{'n':>6}{'judged':>8}{'bias':>8}{'error':>8}{'90 %':>7}"
          f"{'covered':>9}{'narrow cov.':>12}{'hi/lo':>7}")  # fmt: skip
    for kind in KINDS:
        for lo, hi in _BINS:
            some = [t for t in found if t.kind == kind and lo <= t.widest < hi]
            ratio, wide, narrow, span = _read(some)
            if len(ratio) >= 5:
                error = np.abs(ratio - 1)
                print(f"{kind:10}{lo:>5}–{hi:<4}{len(some):>6}{len(ratio) / len(some):>8.0%}"
                      f"{np.median(ratio) - 1:>+8.1%}{np.median(error):>8.1%}"
                      f"{np.quantile(error, 0.9):>7.0%}{wide:>9.0%}{narrow:>12.0%}"
                      f"{span:>7.2f}")  # fmt: skip
    ratio, wide, narrow, _ = _read([t for t in found if 1.5 <= t.widest <= 12])
    error = np.abs(ratio - 1)
    print()
    return all([
        report("edge width 1.5 to 12 px, median error", 100 * float(np.median(error)), 8, "%"),
        report("its 90th percentile", 100 * float(np.quantile(error, 0.9)), 25, "%"),
        report("widest outside its 95 % interval", 100 * (1 - wide), 10, "%"),
        report("narrowest outside its 95 % interval", 100 * (1 - narrow), 10, "%"),
    ])  # fmt: skip


def _read(some: list[Trial]) -> tuple[F, float, float, float]:
    told = [(t, t.read.widest, t.read.narrowest) for t in some]
    seen = [(t, w, n) for t, w, n in told if w is not None and n is not None]
    ratio = np.array([w.px / t.widest for t, w, _ in seen])
    wide = float(np.mean([w.lo <= t.widest <= w.hi for t, w, _ in seen])) if seen else 0.0
    narrow = float(np.mean([n.lo <= t.narrowest <= n.hi for t, _, n in seen])) if seen else 0.0
    return ratio, wide, narrow, float(np.median([w.hi / w.lo for _, w, _ in seen] or [0]))


def _sorting(found: list[Trial]) -> bool:
    """Soft against sharp: verdicts, then what any threshold could reach."""
    sharp = [t for t in found if t.kind == "as taken"]
    soft = [t for t in found if t.added >= ADDED]
    said = {id(t): decide(t.read, LIMIT_PX)[0] for t in [*sharp, *soft]}
    print(f"\n{'':12}{'n':>6}" + "".join(f"{v.value:>12}" for v in Verdict))
    for name, group in (("sharp", sharp), ("soft", soft)):
        shares = [np.mean([said[id(t)] is v for t in group]) for v in Verdict]
        print(f"{name:12}{len(group):>6}" + "".join(f"{s:>12.1%}" for s in shares))
    judged = [t for t in [*sharp, *soft] if t.read.widest is not None]
    soft_ids = {id(t) for t in soft}
    is_soft = np.array([id(t) in soft_ids for t in judged])
    width = np.array([t.read.widest.px for t in judged if t.read.widest])
    measures = {"edge width": width}
    for i, name in enumerate(("variance of the Laplacian", "Tenengrad", "blur_effect")):
        measures[name] = np.array([t.others[i] for t in judged])
    print(f"\n{'judged areas':28}{'AUC':>8}{'false at 1 % missed':>22}{'missed at 2 % false':>22}")
    for name, value in measures.items():
        false = np.mean(value[~is_soft] > np.quantile(value[is_soft], 0.01))
        missed = np.mean(value[is_soft] < np.quantile(value[~is_soft], 0.98))
        area = roc_auc_score(is_soft, value)
        print(f"{name:28}{area:>8.3f}{false:>22.1%}{missed:>22.1%}")
    print()
    unjudged = 1 - len(judged) / len([*sharp, *soft])
    passed, failed = np.mean(width[is_soft] <= LIMIT_PX), np.mean(width[~is_soft] > LIMIT_PX)
    by_verdict = [
        np.mean([said[id(t)] is v for t in group])
        for group, v in ((soft, Verdict.SHARP), (sharp, Verdict.SOFT))
    ]
    return all([
        report("soft called sharp", 100 * float(by_verdict[0]), 1, "%"),
        report("sharp called soft", 100 * float(by_verdict[1]), 2, "%"),
        report("unjudged", 100 * unjudged, 10, "%"),
        report("soft called sharp, borderline ones forced", 100 * float(passed), 1, "%"),
        report("sharp called soft, borderline ones forced", 100 * float(failed), 2, "%"),
    ])  # fmt: skip


def _movement(found: list[Trial]) -> bool:
    """Movement against defocus in what was judged soft, edges wider than 3 px."""
    some = [
        t for t in found
        if t.read.widest is not None and t.read.widest.px > 3 and not t.read.note
        and decide(t.read, 3.0)[0] is Verdict.SOFT
        and (t.moved or t.kind not in {"shake", "motion"})
    ]  # fmt: skip
    right = np.mean([(t.read.motion is not None) == t.moved for t in some])
    moved = [t for t in some if t.moved]
    told = [t for t in moved if t.read.motion is not None]
    angles = [(t.read.motion.angle_deg, t.angle) for t in told if t.read.motion]
    off = [abs((found - true + 90) % 180 - 90) for found, true in angles]
    falsely = np.mean([t.read.motion is not None for t in some if not t.moved])
    print(f"\n{len(some)} soft areas: {len(told) / len(moved):.1%} of movements told, "
          f"{falsely:.1%} falsely; angle off by {np.median(off):.1f}° in the median")  # fmt: skip
    return all([
        report("movement against defocus told wrongly", 100 * (1 - float(right)), 5, "%"),
        report("angle off, 90th percentile", float(np.quantile(off, 0.9)), 10, "°"),
    ])  # fmt: skip


def _brackets(pictures: dict[str, list], rng: np.random.Generator) -> bool:  # type: ignore[type-arg]
    found = [bracket(some[0], rng) for some in pictures.values()]
    peaks = [sum(_is_peak(values, i) for i in range(len(values))) for values in found]
    print(f"\n{len(found)} focus brackets of 13 frames, ranked by energy")
    return report("brackets with more than one peak", float(sum(p != 1 for p in peaks)), 0)


def _is_peak(values: list[float], i: int) -> bool:
    before = values[i - 1] if i else -np.inf
    after = values[i + 1] if i + 1 < len(values) else -np.inf
    return values[i] > before and values[i] >= after


def _times() -> bool:
    rng = np.random.default_rng(0)
    light = np.kron(rng.random((40, 40)), np.ones((12, 12)))[:448, :448]
    picture = np.asarray(40 + 160 * light + 2 * rng.standard_normal(light.shape), np.uint8)
    taken = []
    for _ in range(20):
        begun = time.process_time()
        measure(picture, Rect(MARGIN, MARGIN, 400, 400))
        taken.append(1000 * (time.process_time() - begun))
    print()
    return report("an area of 400 px, processor time", float(np.median(taken)), 25, "ms")


def _worst(found: list[Trial], count: int = 10) -> None:
    judged = [t for t in found if t.read.widest is not None and t.widest <= 12]
    judged.sort(key=lambda t: -abs(np.log(t.read.widest.px / t.widest)) if t.read.widest else 0)
    sheet = Image.new("L", (200 * min(count, 5), 200 * -(-count // 5)), 128)
    print(f"\nthe worst {count}\n{'':4}{'subject':42}{'kind':10}{'side':>5}{'noise':>7}{'true':>7}"
          f"{'read':>7}{'lo':>6}{'hi':>6}{'edges':>7}")  # fmt: skip
    for i, t in enumerate(judged[:count]):
        w = t.read.widest
        if w is not None:
            what = f"{t.subject:42}{t.kind:10}{min(t.area.shape):>5}{t.noise:>7.3f}"
            read = f"{t.widest:>7.1f}{w.px:>7.1f}{w.lo:>6.1f}{w.hi:>6.1f}{t.read.edges:>7}"
            print(f"{i + 1:>3} {what}{read}")
        sheet.paste(Image.fromarray(t.area[:196, :196]), (200 * (i % 5), 200 * (i // 5)))
    path = Path(tempfile.mkdtemp(prefix="tether-accuracy-")) / "worst.png"
    sheet.save(path)
    print(f"their areas, in this order: {path}")
