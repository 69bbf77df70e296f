"""How well the slanted edge is measured, against closed forms.

Run `python -m tests.benchmarks.accuracy_slanted`; under a minute. The edges are rendered
(`tests.sharpness.edges_known`), with tilt, place in the area, polarity and which side is up
drawn at random.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import simplejpeg

from tests.benchmarks.timing import report
from tests.sharpness.edges_known import Blur, F, edge, known_mtf50
from tests.sharpness.pictures import coded
from tether.sharpness.slanted_edge.measure import slanted_edge
from tether.sharpness.tone import linear

AREA = (100, 100)
LEVELS = (0.2, 0.8)
RATIO = 100
"""Contrast of the step over the standard deviation of a pixel's noise."""

JPEG_95 = 0.015
"""What `slanted_edge` says JPEG of quality 95 adds to the relative standard error."""

EDGES = 7
DRAWS = 3

BLURS = (
    *(Blur("Gaussian", sigma) for sigma in (0.5, 1.0, 2.0, 3.0)),
    *(Blur("disk", diameter) for diameter in (1.0, 2.0, 4.0, 8.0)),
    *(Blur("movement", length) for length in (1.0, 3.0, 8.0)),
)
TILTS = ((2.0, 8.0, 1 / 8), (8.0, 25.0, 1 / 4), (25.0, 40.0, 1 / 2))
"""Least and most, degrees, and the slope among them at which pixels meet it at fewest phases."""


@dataclass(frozen=True, slots=True)
class Trial:
    """Relative errors of MTF50 of one edge, without noise and with, and whether it was covered."""

    clean: float
    noisy: list[float]
    covered: list[bool]
    seconds: list[float]


def drawn(blur: Blur, tilt: float, rng: np.random.Generator) -> F:
    """One edge, its light somewhere in the area and either side up."""
    levels = LEVELS if rng.random() < 0.5 else LEVELS[::-1]
    light = edge(blur, tilt, AREA, levels, middle=rng.uniform(-5, 5))
    return np.rot90(light, int(rng.integers(4)))


def trial(blur: Blur, tilt: float, rng: np.random.Generator) -> Trial:
    """Measure one edge without noise and with."""
    light, known = drawn(blur, tilt, rng), known_mtf50(blur, tilt)
    out = Trial(slanted_edge(light).mtf50 / known - 1, [], [], [])
    for _ in range(DRAWS):
        noisy = light + rng.normal(0, (LEVELS[1] - LEVELS[0]) / RATIO, light.shape)
        begun = time.perf_counter()
        found = slanted_edge(noisy)
        out.seconds.append(time.perf_counter() - begun)
        low, high = found.mtf50_95
        out.noisy.append(found.mtf50 / known - 1)
        out.covered.append(low <= known <= high)
    return out


def closed_forms(rng: np.random.Generator) -> list[Trial]:
    """Print errors by blur and tilt; return all trials."""
    print(f"{'':20}{'tilt':>9}{'MTF50':>8} | {'without noise':^17} | {f'at {RATIO}:1':^27}")
    print(f"{'blur':10}{'px':>10}{'degrees':>9}{'cy/px':>8} |{'median':>9}{'worst':>9} |"
          f"{'95 %':>9}{'covered':>10}{'ms':>8}")  # fmt: skip
    trials = []
    for blur in BLURS:
        for least, most, slope in TILTS:
            hardest = np.rad2deg(np.arctan(slope))
            tilts = np.append(rng.uniform(least, most, EDGES - 1), hardest)
            some = [trial(blur, float(t), rng) for t in tilts]
            trials += some
            clean = np.abs([t.clean for t in some])
            noisy = np.abs([e for t in some for e in t.noisy])
            covered = np.mean([c for t in some for c in t.covered])
            ms = 1000 * np.median([s for t in some for s in t.seconds])
            print(f"{blur.kind:10}{blur.size:>10g}{f'{least:g}–{most:g}':>9}"
                  f"{known_mtf50(blur, float(tilts[0])):>8.3f} |"
                  f"{np.median(clean):>9.2%}{clean.max():>9.2%} |"
                  f"{np.quantile(noisy, 0.95):>9.2%}{covered:>10.0%}{ms:>8.0f}")  # fmt: skip
    return trials


def in_eight_bits(light: F) -> F:
    """Code through sRGB, and undo it."""
    return np.asarray(linear(coded(light)), np.float64)


def as_jpeg(light: F) -> F:
    """Save as a JPEG of quality 95, and read it."""
    pixels = np.ascontiguousarray(coded(light))[:, :, None]
    file = simplejpeg.encode_jpeg(pixels, quality=95, colorspace="GRAY")
    return np.asarray(linear(simplejpeg.decode_jpeg(file, "GRAY")[:, :, 0]), np.float64)


def falling_off(light: F) -> F:
    """Let light fall off by 30 % from corner to corner."""
    row, column = np.indices(light.shape) / 100 - 0.5
    return np.asarray(light * (1 + 0.15 * row - 0.15 * column))


def vignetted(light: F) -> F:
    """Let light fall off by a tenth in a bend, as in a frame's corner."""
    row, column = np.indices(light.shape) / 100
    return np.asarray(light * (1 - 0.05 * (row**2 + column**2)))


def pictures(rng: np.random.Generator) -> None:
    """Print what light and files do to it."""
    print(f"\n{'with what happens to pictures':40}{'bias':>8}{'95 %':>8}{'covered':>10}")
    grain = 0.004
    happens: dict[str, Callable[[F], F]] = {
        "light that falls off evenly": falling_off,
        "light that falls off in a bend": vignetted,
        "8 bit sRGB": in_eight_bits,
        f"8 bit sRGB, noise of {grain:g}": lambda p: in_eight_bits(p + rng.normal(0, grain, AREA)),
        "JPEG 95": as_jpeg,
        f"JPEG 95, noise of {grain:g}": lambda p: as_jpeg(p + rng.normal(0, grain, AREA)),
    }
    for name, happen in happens.items():
        errors, covered = [], []
        for blur in (Blur("Gaussian", 0.5), Blur("Gaussian", 1.5), Blur("disk", 4.0)):
            for tilt in rng.uniform(3, 38, 8):
                known = known_mtf50(blur, float(tilt))
                light = happen(drawn(blur, float(tilt), rng))
                found = slanted_edge(light, coding_error=JPEG_95 if "JPEG" in name else 0.0)
                errors.append(found.mtf50 / known - 1)
                covered.append(found.mtf50_95[0] <= known <= found.mtf50_95[1])
        print(f"{name:40}{np.mean(errors):>+8.2%}{np.quantile(np.abs(errors), 0.95):>8.2%}"
              f"{np.mean(covered):>10.0%}")  # fmt: skip
    for extent in (0.8, 1.6, 2.2):
        blur = Blur("diffraction", extent)
        light, known = edge(blur, 5.0), known_mtf50(blur, 5.0)
        told = slanted_edge(light, diffraction_px=extent).mtf50 / known - 1
        untold = slanted_edge(light).mtf50 / known - 1
        print(f"diffraction alone, λN of {extent:g} px: {told:+.2%} where it is told, "
              f"{untold:+.2%} where not")  # fmt: skip


def main() -> None:
    """Print the tables."""
    rng = np.random.default_rng(21)
    print(f"areas of {AREA[1]} x {AREA[0]} px, light of {LEVELS[0]:g} and {LEVELS[1]:g}; "
          f"{EDGES} edges a line, each with {DRAWS} draws of noise\n")  # fmt: skip
    trials = closed_forms(rng)
    pictures(rng)
    noisy = [abs(e) for t in trials for e in t.noisy]
    covered = np.mean([c for t in trials for c in t.covered])
    print(f"\n{len(trials)} edges, {len(noisy)} draws; intervals of 95 % held {covered:.1%}")
    report("MTF50 without noise, worst", 100 * max(abs(t.clean) for t in trials), 1.0, "%")
    report(f"MTF50 at {RATIO}:1, 95 % of draws", 100 * float(np.quantile(noisy, 0.95)), 3.0, "%")


if __name__ == "__main__":
    main()
