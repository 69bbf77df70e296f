"""How well edge widths are read from a raw's green samples: two minutes.

`python -m tests.benchmarks.accuracy_raw` blurs subjects by a known amount, samples them as a sensor
under a colour filter array does, with noise, and measures what the greens yield: filled in as the
program does it, and in three ways that it does not. `every pixel` is what a sensor without a filter
array would have given. Subjects, kernels and truth are those of `accuracy`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mocks.raw import BAYER, X_TRANS
from tests.benchmarks.areas import cut, within
from tests.benchmarks.scored import subjects
from tests.sharpness.pictures import blur, disk, gauss, join, rise
from tether.frame.coding import coded
from tether.frame.green import filled
from tether.sharpness.measure import measure

F = NDArray[np.float32]
Reading = Callable[[F], tuple[float, float, float] | None]

KINDS = {
    "lens alone": (None, 0),
    "Gaussian 1 px": (gauss(1.0), 60),
    "disk 3 px": (disk(3.0), 60),
    "disk 6 px": (disk(6.0), 60),
    "disk 12 px": (disk(12.0), 60),
}
TRIALS = 60
NOISES = (0.0, 0.01, 0.025)
FULL = 0.6
"""Share of full scale that the brightest of a subject reaches."""

_PIXEL = 1 / 12


@dataclass(frozen=True, slots=True)
class Told:
    """A width, its interval, and the truth, px."""

    px: float
    lo: float
    hi: float
    truth: float


def main() -> None:
    """Print the tables."""
    some = {name: contents for name, contents in subjects(None).items() if contents}
    for noise in NOISES:
        print(f"noise {noise:.1%} of full scale at mid grey, light; {TRIALS} areas a row")
        for kind, (kernel, _) in KINDS.items():
            row(some, kind, kernel, noise)


def row(some, kind, kernel, noise) -> None:
    rng = np.random.default_rng(7)
    told: dict[str, list[Told | None]] = {name: [] for name in READINGS}
    names = sorted(some)
    for number in range(TRIALS):
        contents = some[names[number % len(names)]]
        content = contents[int(rng.integers(len(contents)))]
        lens = gauss(0.45)
        whole = lens if kernel is None else join(kernel, lens)
        native = float(np.sqrt(content.native**2 + _PIXEL))
        truth = rise(whole, 0.0, native, None)
        light = blur(cut(content.light, rng, 160), whole)
        light = np.asarray(light * (FULL / max(np.percentile(light, 99.5), 1e-6)), np.float32)
        grain = rng.standard_normal(light.shape).astype(np.float32)
        light = light + grain * noise * np.sqrt(np.clip(light, 0, None) / 0.2 + 0.01)
        for name, reading in READINGS.items():
            found = reading(np.asarray(light, np.float32))
            told[name].append(None if found is None else Told(*found, truth))
    for name, results in told.items():
        got = [one for one in results if one]
        if not got:
            continue
        error = np.array([one.px / one.truth - 1 for one in got])
        held = np.mean([one.lo <= one.truth <= one.hi for one in got])
        print(
            f"  {kind:<14}{name:<26} read {len(got):3}/{len(results)}  bias {np.median(error):+6.1%}"
            f"  |error| {np.median(abs(error)):5.1%}  90 % {np.quantile(abs(error), 0.9):5.1%}  held {held:4.0%}"
        )


def _measured(pixels, inner=None, scale=1.0):
    found = measure(pixels, inner or within(pixels))
    if found.widest is None:
        return None
    w = found.widest
    return w.px * scale, w.lo * scale, w.hi * scale


def tile(pattern):
    return np.array([[c == "G" for c in r] for r in pattern])


def every(light):
    return _measured(coded(light))


def bayer(light):
    return _measured(coded(filled(light, tile(BAYER))))


def xtrans(light):
    return _measured(coded(filled(light, tile(X_TRANS))))


def four(light):
    import cv2

    m = np.tile(tile(BAYER), (light.shape[0] // 2 + 1, light.shape[1] // 2 + 1))[
        : light.shape[0], : light.shape[1]
    ]
    k = np.array([[0, 1, 0], [1, 0, 1], [0, 1, 0]], np.float32) / 4
    seen = np.where(m, light, np.float32(0))
    return _measured(coded(np.where(m, light, cv2.filter2D(seen, -1, k))))


def half(light):
    return _measured(coded(np.ascontiguousarray(light[0::2, 1::2])), None, 2.0)


READINGS: dict[str, Reading] = {
    "every pixel": every,
    "greens, Bayer": bayer,
    "greens, X-Trans": xtrans,
    "mean of four": four,
    "one green plane, twice": half,
}

if __name__ == "__main__":
    main()
