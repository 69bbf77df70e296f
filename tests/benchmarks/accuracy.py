"""How well an area's sharpness is told, next to three measures in common use.

Run `python -m tests.benchmarks.accuracy`. The photographs are those of scikit-image and
scikit-learn; none of them was used to calibrate `tether.sharpness.interval`.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.measure import blur_effect
from sklearn.metrics import roc_auc_score

from tests.sharpness.photographs import SAMPLES, photograph
from tests.sharpness.pictures import U8, F, blur, disk, expose, gauss, join, path, rise
from tether.model import Measurement, Rect
from tether.sharpness.measure import MARGIN, measure

PHOTOGRAPHS = ("camera", "astronaut", "coffee", "chelsea", "brick", "page", "rocket", "coins")
SIDE = 120
EACH = 75
ADDED = 2.5
OWN = 0.6
"""Standard deviation, px, taken for the blur that the photographs keep after they were reduced."""

KINDS = ("as taken", "Gaussian", "defocus", "shake")


@dataclass(frozen=True, slots=True)
class Trial:
    """One area: what was done to it, its true widths, and what was read."""

    kind: str
    widest: float
    narrowest: float
    added: float
    angle: float
    read: Measurement
    others: tuple[float, float, float]


def other_measures(area: U8) -> tuple[float, float, float]:
    """Softness by variance of the Laplacian, Tenengrad and blur_effect: higher is softer."""
    p = area.astype(np.float64)
    gradient = ndimage.sobel(p, 0) ** 2 + ndimage.sobel(p, 1) ** 2
    return -float(ndimage.laplace(p).var()), -float(gradient.mean()), float(blur_effect(area))


def crops() -> list[F]:
    """Areas with margin that hold contrast, up to four of each photograph."""
    out = []
    side = SIDE + 2 * MARGIN
    for name in PHOTOGRAPHS + SAMPLES:
        picture = photograph(name)
        found = []
        for y in range(0, max(picture.shape[0] - side, 0) + 1, 32):
            for x in range(0, max(picture.shape[1] - side, 0) + 1, 32):
                crop = picture[y : y + side, x : x + side]
                found.append((float(np.percentile(np.abs(np.diff(crop, axis=1)), 99)), y, x))
        found.sort(reverse=True)
        kept: list[tuple[int, int]] = []
        for _, y, x in found:
            if len(kept) < 4 and all(abs(y - b) + abs(x - a) >= 64 for b, a in kept):
                kept.append((y, x))
        out += [picture[y : y + side, x : x + side] for y, x in kept]
    return out


def kernel(kind: str, rng: np.random.Generator) -> tuple[F, float]:
    """Kernel of a kind with a random size, and the angle of its movement."""
    if kind == "Gaussian":
        return gauss(rng.uniform(0.8, 4.5)), 0.0
    if kind == "defocus":
        return disk(rng.uniform(2.0, 12.0)), 0.0
    if kind == "shake":
        angle = rng.uniform(0, 180)
        return path(rng.uniform(4.0, 14.0), angle, rng.uniform(-0.3, 0.3)), angle
    return np.ones((1, 1)), 0.0


def trial(crop: F, kind: str, rng: np.random.Generator) -> Trial:
    """Blur, expose, measure."""
    lens = gauss(rng.choice([0.35, 0.5, 0.7]))
    k, angle = kernel(kind, rng)
    whole = join(k, lens) if kind != "as taken" else lens
    turns = range(0, 180, 15) if kind == "shake" else (0,)
    rises = [rise(whole, t, OWN) for t in turns]
    picture = expose(
        blur(crop, whole),
        rng,
        gain=float(np.exp(rng.uniform(np.log(0.15), 0))),
        veil=rng.uniform(0, 0.25),
        noise=float(rng.choice([0.003, 0.01, 0.025])),
        grain=bool(rng.random() < 0.5),
        quality=int(rng.integers(85, 99)),
    )
    h, w = picture.shape
    m = min(MARGIN, (min(h, w) - 64) // 2)
    inner = Rect(m, m, w - 2 * m, h - 2 * m)
    area = picture[m : h - m, m : w - m]
    added = max(rises) - rise(lens, 0, OWN)
    found = measure(picture, inner)
    return Trial(kind, max(rises), min(rises), added, angle, found, other_measures(area))


def width_table(trials: list[Trial]) -> None:
    """Print width errors and coverage by kind and width."""
    print(f"{'kind':10}{'width px':>10}{'n':>6}{'judged':>8}{'bias':>8}{'error':>8}{'90 %':>7}"
          f"{'covered':>9}{'narrow cov.':>12}{'hi/lo':>7}")  # fmt: skip
    for kind in KINDS:
        for lo, hi in ((0, 2.5), (2.5, 4), (4, 6.5), (6.5, 13)):
            some = [t for t in trials if t.kind == kind and lo <= t.widest < hi]
            told = [(t, t.read.widest, t.read.narrowest) for t in some]
            seen = [(t, w, n) for t, w, n in told if w is not None and n is not None]
            if len(seen) < 5:
                continue
            ratio = np.array([w.px / t.widest for t, w, _ in seen])
            error = np.abs(ratio - 1)
            wide = np.mean([w.lo <= t.widest <= w.hi for t, w, _ in seen])
            narrow = np.mean([n.lo <= t.narrowest <= n.hi for t, _, n in seen])
            span = np.median([w.hi / w.lo for _, w, _ in seen])
            print(f"{kind:10}{lo:>5}–{hi:<4}{len(some):>6}{len(seen) / len(some):>8.0%}"
                  f"{np.median(ratio) - 1:>+8.0%}{np.median(error):>8.0%}"
                  f"{np.quantile(error, 0.9):>7.0%}{wide:>9.0%}{narrow:>12.0%}"
                  f"{span:>7.1f}")  # fmt: skip


def sorting(name: str, value: NDArray[np.float64], soft: NDArray[np.bool_]) -> None:
    """Print how a measure sorts soft from sharp."""
    at = np.quantile(value[soft], 0.01)
    false = np.mean(value[~soft] > at)
    at_sharp = np.quantile(value[~soft], 0.95)
    missed = np.mean(value[soft] < at_sharp)
    print(f"{name:28}{roc_auc_score(soft, value):>8.3f}{false:>22.0%}{missed:>24.0%}")


def main() -> None:
    """Print the tables."""
    rng = np.random.default_rng(20)
    areas = crops()
    start = time.perf_counter()
    trials = [
        trial(areas[i % len(areas)], kind, rng)
        for kind, times in zip(KINDS, (2, 1, 2, 2), strict=True)
        for i in range(EACH * times)
    ]
    print(f"{len(trials)} trials on {len(areas)} areas, {time.perf_counter() - start:.0f} s\n")
    width_table(trials)
    judged = [t for t in trials if t.read.widest is not None]
    print(f"\nunjudged {1 - len(judged) / len(trials):.1%}")
    moved = [t for t in trials if t.kind == "shake"]
    told = [t for t in moved if t.read.motion is not None]
    still = [t for t in trials if t.kind != "shake"]
    wrong = np.mean([t.read.motion is not None for t in still])
    off = [abs((t.read.motion.angle_deg - t.angle + 90) % 180 - 90) for t in told if t.read.motion]
    print(f"movement told {len(told) / len(moved):.0%}, falsely {wrong:.1%}, "
          f"angle off by {np.median(off):.0f}° (90 %: {np.quantile(off, 0.9):.0f}°)\n")  # fmt: skip
    clear = [t for t in judged if t.kind == "as taken" or t.added >= ADDED]
    soft = np.array([t.added >= ADDED for t in clear])
    still_too = np.array([t.kind != "shake" for t in clear])
    print(
        f"{'soft against sharp':28}{'AUC':>8}{'false at 1 % missed':>22}{'missed at 5 % false':>24}"
    )
    ours = np.array([t.read.widest.px for t in clear if t.read.widest])
    sorting("edge width", ours, soft)
    sorting("edge width, without shake", ours[still_too], soft[still_too])
    for i, name in enumerate(("variance of the Laplacian", "Tenengrad", "blur_effect")):
        sorting(name, np.array([t.others[i] for t in clear]), soft)


if __name__ == "__main__":
    main()
