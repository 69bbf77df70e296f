"""How well a frame is compared with its reference.

Run `python -m tests.benchmarks.accuracy_reference [FOLDER]`; the folder, if given, keeps Debian's
packages of photographs, as `python -m calibration` does. What there is to tune in the comparison
was tuned on other photographs: see `tether.sharpness.added`.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from sklearn.metrics import roc_auc_score

from calibration.photographs import fetch, focused
from tests.benchmarks.photographs_reference import UNSEEN
from tests.benchmarks.timing import in_turn
from tests.sharpness.pairs import (
    ANGLES,
    LENSES,
    MARGIN,
    NOISES,
    Light,
    Made,
    Pair,
    Scene,
    any_light,
    moved,
    pair,
    pieces,
    widths,
)
from tether.model import Rect
from tether.sharpness.measure import measure
from tether.sharpness.relative import Comparison, compare

F = NDArray[np.float64]

SIDE = 300
SMALLEST = 128
"""px: areas are not smaller than this unless the settings say so."""
SOFT = 2.5
"""px: what must be told from a sharp frame."""
THRESHOLD = 1.9
"""px, fixed beforehand: a frame whose added blur reads more is called soft."""
CHANGE = 1.1
_SIZES = {"Gaussian": (0.4, 4.0), "defocus": (1.5, 13.0), "shake": (1.5, 13.0)}


@dataclass(frozen=True, slots=True)
class Trial:
    """One pair and what was read; `own` with the reference's width as measured, if it could be."""

    pair: Pair
    read: Comparison
    own: Comparison | None


def scenes(folder: Path) -> list[Scene]:
    """The photographs, as they are: two of their pixels make one of a frame's."""
    return [Scene(focused(p, folder), p.name) for p in UNSEEN]


@cache
def size_for(kind: str, lens: float, times: float) -> float:
    """Size of a blur that makes an edge's width so many times what the lens makes it."""
    wanted = times * float(widths(lens, "unchanged", 0.0, 0.0).max())
    low, high = 0.05, _SIZES[kind][1]
    for _ in range(14):
        middle = (low + high) / 2
        wide = float(widths(lens, kind, middle, 0.0).max())
        low, high = (middle, high) if wide < wanted else (low, middle)
    return (low + high) / 2


def trials(scene: Scene, rng: np.random.Generator) -> Iterator[Trial]:
    """Pairs of one piece: alike, blurred, a tenth wider or narrower."""
    lens = float(rng.choice(LENSES))
    sharp = Made(lens=lens)
    for _ in range(4):
        yield tried(scene, (moved(sharp, rng), sharp), rng)
    for kind, (least, most) in _SIZES.items():
        angle = float(rng.choice(12) * 15)
        size = float(np.exp(rng.uniform(np.log(least), np.log(most))))
        blurred = replace(sharp, kind=kind, size=size, angle=angle)
        yield tried(scene, (moved(blurred, rng), sharp), rng)
        slight = replace(sharp, kind=kind, size=size_for(kind, lens, CHANGE), angle=angle)
        if rng.random() < 0.5:
            yield tried(scene, (moved(slight, rng), sharp), rng)
        else:
            yield tried(scene, (moved(sharp, rng), slight), rng)


def tried(scene: Scene, made: tuple[Made, Made], rng: np.random.Generator) -> Trial:
    """Take a pair, one in four with both frames dark and of the strongest noise, and compare it."""
    lights = (any_light(rng), any_light(rng))
    if rng.random() < 0.25:
        lights = (dark(lights[0], rng), dark(lights[1], rng))
    p = pair(scene, made, lights, rng)
    width = measure(p.reference, p.inner).widest
    own = compare(p.frame, p.reference, p.inner, width) if width is not None else None
    return Trial(p, compare(p.frame, p.reference, p.inner, float(p.reference_px.max())), own)


def dark(light: Light, rng: np.random.Generator) -> Light:
    """The same light two to three stops under and of the strongest noise."""
    return replace(light, gain=float(rng.uniform(0.125, 0.25)), noise=NOISES[-1])


def is_dark(p: Pair) -> bool:
    """Whether both frames are."""
    return all(q.gain <= 0.25 and q.noise == NOISES[-1] for q in p.lights)


def greatest(p: Pair) -> float:
    """Blur alone between two frames along the direction of the greatest, px."""
    return float(p.added_px[np.argmax(np.abs(p.added_px))])


def ratio(p: Pair) -> float:
    """True edge width over the reference's."""
    return float(p.frame_px.max() / p.reference_px.max())


def is_slight(p: Pair) -> bool:
    """Whether the edge width was changed by a tenth."""
    return p.kind != "unchanged" and abs(abs(np.log(ratio(p))) - np.log(CHANGE)) < 0.02


def sorting_table(done: list[Trial]) -> None:
    """Print how blurred frames are told from frames as sharp as their reference."""
    print(f"{'blurred against unchanged':38}{'pairs':>10}{'AUC':>8}{'false at 1 % missed':>21}"
          f"{'with ' + str(THRESHOLD) + ' px: missed':>22}{'false':>7}")  # fmt: skip
    both_dark = [t for t in done if is_dark(t.pair)]
    for what, is_soft in (
        ("a blur of 2.5 px or more", lambda p: greatest(p) >= SOFT),
        ("edges wider by 2.5 px or more", lambda p: np.ptp(end_widths(p)) >= SOFT),
    ):
        for some, name in ((done, what), (both_dark, "  both frames dark and noisy")):
            soft = np.array([t.read.added_px for t in some if is_soft(t.pair)], float)
            sharp = np.array([t.read.added_px for t in some if t.pair.kind == "unchanged"], float)
            both = np.concatenate([soft, sharp])
            auc = roc_auc_score(np.arange(len(both)) < len(soft), both)
            false = np.mean(sharp >= np.quantile(soft, 0.01))
            print(f"{name:38}{len(soft):>5} /{len(sharp):>3}{auc:>8.4f}{false:>21.1%}"
                  f"{np.mean(soft < THRESHOLD):>22.1%}{np.mean(sharp >= THRESHOLD):>7.1%}"
            )  # fmt: skip


def end_widths(p: Pair) -> F:
    """Widest edge width of frame and reference, px."""
    return np.array([p.frame_px.max(), p.reference_px.max()])


def blur_table(done: list[Trial]) -> None:
    """Print errors of the added blur, of the ratio, and how often intervals hold the truth."""
    print(f"\n{'blur between the two':24}{'n':>5}{'bias':>7}{'error':>7}{'90 %':>6}{'held':>6}"
          f"{'ratio: error':>14}{'90 %':>6}{'held':>6}{'by measured width':>19}")  # fmt: skip
    for kind in ("Gaussian", "defocus", "shake"):
        for low, high in ((0.5, 2.5), (2.5, 5.0), (5.0, 11.0), (-2.5, -0.5)):
            some = [t for t in done if t.pair.kind == kind and low <= greatest(t.pair) < high]
            if len(some) < 5:
                continue
            true = np.array([greatest(t.pair) for t in some])
            px = np.array([t.read.added_px for t in some], float)
            told, wanted = np.array([t.read.ratio for t in some], float), np.array(
                [ratio(t.pair) for t in some]
            )  # fmt: skip
            off, ratio_off = np.abs(px / true - 1), np.abs(told / wanted - 1)
            print(f"{kind:10}{low:>5} to {high:<6}{len(some):>4}{np.median(px / true) - 1:>+7.1%}"
                  f"{np.median(off):>7.1%}{np.quantile(off, 0.9):>6.0%}{held(some):>6.0%}"
                  f"{np.median(ratio_off):>14.1%}{np.quantile(ratio_off, 0.9):>6.0%}"
                  f"{ratio_held(some):>6.0%}{ratio_held(some, own=True):>19.0%}")  # fmt: skip
    same = [t for t in done if t.pair.kind == "unchanged"]
    print(f"{'unchanged':24}{len(same):>5}{'':20}{held(same):>6.0%}{'':20}"
          f"{ratio_held(same):>6.0%}{ratio_held(same, own=True):>19.0%}")  # fmt: skip
    print(f"{'all':24}{len(done):>5}{'':20}{held(done):>6.1%}{'':20}"
          f"{ratio_held(done):>6.1%}{ratio_held(done, own=True):>18.1%}")  # fmt: skip


def held(some: list[Trial]) -> float:
    """Share of pairs whose blur lies in its interval."""
    ends = [(greatest(t.pair), t.read.added_95) for t in some]
    return float(np.mean([e is not None and e[0] <= true <= e[1] for true, e in ends]))


def ratio_held(some: list[Trial], own: bool = False) -> float:
    """Share of pairs whose ratio lies in its interval."""
    ends = [
        (ratio(t.pair), t.own.ratio_95 if own and t.own else t.read.ratio_95)
        for t in some
        if not own or t.own is not None
    ]
    return float(np.mean([e is not None and e[0] <= true <= e[1] for true, e in ends]))


def seen(t: Trial) -> bool:
    """Whether a change is seen: the interval does without 0."""
    return t.read.added_95 is not None and t.read.added_95[0] * t.read.added_95[1] > 0


def change_table(done: list[Trial]) -> None:
    """Print how often a change of a tenth is seen, and one where there is none."""
    print(f"\n{'edge width changed by a tenth':34}{'n':>5}{'seen':>7}{'other way':>11}"
          f"{'unchanged: called changed':>28}")  # fmt: skip

    def row(name: str, some: list[Trial]) -> None:
        slight = [t for t in some if is_slight(t.pair)]
        same = [t for t in some if t.pair.kind == "unchanged"]
        wrong = [(t.read.added_px or 0) * greatest(t.pair) < 0 and seen(t) for t in slight]
        rate = np.mean([seen(t) for t in slight])
        print(f"{name:34}{len(slight):>5}{rate:>7.1%}{np.mean(wrong):>11.1%}"
              f"{np.mean([seen(t) for t in same]):>23.1%} of {len(same)}")  # fmt: skip

    row("all", done)
    for noise in NOISES:
        both = [t for t in done if max(q.noise for q in t.pair.lights) == noise]
        row(f"noise up to {noise:.1%} of full scale", both)
    large = [t for t in done if min(t.pair.frame.shape) - 2 * MARGIN >= SMALLEST]
    row(f"areas of {SMALLEST} px and more", large)
    row("  not both dark and noisy", [t for t in large if not is_dark(t.pair)])
    row("both frames dark and noisy", [t for t in done if is_dark(t.pair)])
    row("reference wider than 2 px", [t for t in done if t.pair.reference_px.max() > 2])


def strangers(done: list[Trial], rng: np.random.Generator) -> None:
    """Print how often two frames of different subjects are refused."""
    refused = []
    for _ in range(80):
        a, b = (done[int(rng.integers(len(done)))].pair for _ in range(2))
        if a.photograph == b.photograph:
            continue
        h, w = (min(m, n) for m, n in zip(a.frame.shape, b.reference.shape, strict=True))
        area = Rect(MARGIN, MARGIN, w - 2 * MARGIN, h - 2 * MARGIN)
        refused.append(compare(a.frame[:h, :w], b.reference[:h, :w], area, 2.0).ratio is None)
    print(f"\ndifferent subjects refused {np.mean(refused):.1%} of {len(refused)}")


def speed(scene: Scene, rng: np.random.Generator) -> None:
    """Print the time of one comparison."""
    side = 400
    (piece,) = pieces(scene, side, 1, rng)
    light = Light(noise=0.01)
    p = pair(piece, (moved(Made(), rng), Made()), (light, light), rng)
    area = Rect(MARGIN, MARGIN, side, side)
    taken = in_turn({"compare": lambda: compare(p.frame, p.reference, area, 2.0)}, 60)["compare"]
    print(f"{side} px: {1000 * np.median(taken):.0f} ms (least {1000 * taken.min():.0f})")


def main(folder: Path) -> None:
    """Print the tables."""
    fetch(folder)
    rng = np.random.default_rng(7)
    begun = time.perf_counter()
    all_scenes = scenes(folder)
    done = [t for s in all_scenes for piece in pieces(s, SIDE, 4, rng) for t in trials(piece, rng)]
    told = [t for t in done if t.read.ratio is not None]
    sides = [min(t.pair.inner.width, t.pair.inner.height) for t in done]
    print(f"{len(done)} pairs of {len(all_scenes)} photographs, areas of {min(sides)} to "
          f"{max(sides)} px, {time.perf_counter() - begun:.0f} s; not compared "
          f"{1 - len(told) / len(done):.1%}\n")  # fmt: skip
    sorting_table(told)
    blur_table(told)
    change_table(told)
    turned = [
        abs((t.read.angle_deg - ANGLES[int(np.argmax(t.pair.added_px))] + 90) % 180 - 90)
        for t in told
        if t.pair.kind == "shake" and greatest(t.pair) >= SOFT and t.read.angle_deg is not None
    ]
    print(f"angle of shake off by {np.median(turned):.1f}° (90 %: {np.quantile(turned, 0.9):.0f}°)")
    strangers(told, rng)
    speed(max(all_scenes, key=lambda s: min(s.light.shape)), rng)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory(prefix="tether-photographs-") as made:
            main(Path(made))
