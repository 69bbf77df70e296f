"""How well edge widths are read from a raw's green samples; a minute.

`python -m tests.benchmarks.accuracy_raw` blurs subjects by a known amount, samples them as a sensor
under a colour filter array does, with noise, and measures what the greens yield: filled in as the
program does it, and in ways that it does not. `every pixel` is what a sensor without filters would
have given. Subjects and truth are those of `accuracy`. It ends with 1 if filling in costs more than
it may.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.photographs import Content
from mocks.raw import BAYER, X_TRANS
from tests.benchmarks.areas import cut, within
from tests.benchmarks.scored import subjects
from tests.benchmarks.timing import report
from tests.sharpness.pictures import blur, disk, gauss, join, rise
from tether.frame.coding import coded
from tether.frame.green import filled
from tether.model import EdgeWidth
from tether.sharpness.measure import measure

Light = NDArray[np.float32]
Reading = Callable[[Light], EdgeWidth | None]

LENS = gauss(0.45)
BLURS = {
    "lens alone": LENS,
    "Gaussian 1 px": join(gauss(1.0), LENS),
    "disk 3 px": join(disk(3.0), LENS),
    "disk 6 px": join(disk(6.0), LENS),
    "disk 12 px": join(disk(12.0), LENS),
}
NOISES = (0.0, 0.01, 0.025)
TRIALS = 60
SIDE = 160
APART = 1.02
"""Sensitivity of the greens in the blue rows over that of those in the red rows."""
MOST_ADDED = 0.05
"""Median error that filling in may add to that of every pixel, the noisiest pictures included."""

_FULL = 0.6  # of full scale: what the brightest of a subject reaches
_MID_GREY = 0.2
_PIXEL = 1 / 12


@dataclass(frozen=True, slots=True)
class Told:
    """A width with its interval over the truth."""

    width: float
    held: bool


def main() -> None:
    """Print the tables."""
    contents = [one for _, some in sorted(subjects(None).items()) for one in some[:1]]
    added = []
    for noise in NOISES:
        print(
            f"noise of {noise:.1%} of full scale in mid grey; {TRIALS} areas a row; width / truth"
        )
        for kind, kernel in BLURS.items():
            added.append(_table(kind, kernel, noise, contents))
    good = report(
        "most that filling in adds to the median error", 100 * max(added), 100 * MOST_ADDED, "%"
    )
    sys.exit(0 if good else 1)


def _table(kind: str, kernel: NDArray[np.float64], noise: float, contents: list[Content]) -> float:
    """Print how each way fares; what the program's adds to the median error of every pixel."""
    told: dict[str, list[Told]] = {name: [] for name in READINGS}
    rng = np.random.default_rng(7)
    for number in range(TRIALS):
        content = contents[number % len(contents)]
        truth = rise(kernel, 0.0, float(np.sqrt(content.native**2 + _PIXEL)))
        light = _exposed(blur(cut(content.light, rng, SIDE), kernel), noise, rng)
        for name, reading in READINGS.items():
            found = reading(light)
            if found is not None:
                told[name].append(Told(found.px / truth, found.lo <= truth <= found.hi))
    middle = {}
    for name, some in told.items():
        away = np.array([abs(one.width - 1) for one in some])
        middle[name] = float(np.median(away))
        print(
            f"  {kind:<14}{name:<26} told {len(some):3}   "
            f"median {np.median([one.width for one in some]):5.3f}   "
            f"error: half {middle[name]:5.1%}, nine in ten {np.quantile(away, 0.9):5.1%}   "
            f"held {np.mean([one.held for one in some]):4.0%}"
        )
    return middle["Bayer, as it is done"] - middle["every pixel"]


def _exposed(light: NDArray[np.float64], noise: float, rng: np.random.Generator) -> Light:
    scaled = light * (_FULL / max(float(np.percentile(light, 99.5)), 1e-6))
    shot = np.sqrt(np.clip(scaled, 0, None) / _MID_GREY + 0.01)
    return np.asarray(scaled + noise * shot * rng.standard_normal(light.shape), np.float32)


def _tile(pattern: tuple[str, ...]) -> NDArray[np.bool_]:
    return np.array([[one == "G" for one in row] for row in pattern])


def _measured(light: Light) -> EdgeWidth | None:
    pixels = coded(light)
    return measure(pixels, within(pixels)).widest  # type: ignore[arg-type]


def _bayer(light: Light) -> EdgeWidth | None:
    return _measured(filled(light, _tile(BAYER)))


def _x_trans(light: Light) -> EdgeWidth | None:
    return _measured(filled(light, _tile(X_TRANS)))


def _apart(light: Light) -> EdgeWidth | None:
    uneven = light.copy()
    uneven[1::2] *= np.float32(APART)
    return _bayer(uneven)


def _mean_of_four(light: Light) -> EdgeWidth | None:
    rows, columns = light.shape
    green = np.tile(_tile(BAYER), (rows // 2 + 1, columns // 2 + 1))[:rows, :columns]
    cross = np.array([[0, 1, 0], [1, 0, 1], [0, 1, 0]], np.float32) / 4
    between = cv2.filter2D(np.where(green, light, np.float32(0)), -1, cross)
    return _measured(np.where(green, light, between))


def _half(light: Light) -> EdgeWidth | None:
    found = _measured(np.ascontiguousarray(light[0::2, 1::2]))
    return EdgeWidth(2 * found.px, 2 * found.lo, 2 * found.hi) if found is not None else None


READINGS: dict[str, Reading] = {
    "every pixel": _measured,
    "Bayer, as it is done": _bayer,
    "X-Trans, as it is done": _x_trans,
    "Bayer, greens 2 % apart": _apart,
    "the mean of four": _mean_of_four,
    "one green plane, doubled": _half,
}

if __name__ == "__main__":
    main()
