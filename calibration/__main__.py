"""`python -m calibration [FOLDER]`: fetch, blur, measure, fit, and write the coefficients."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np

from calibration.fit import Fitted, fitted, sample
from calibration.photographs import PHOTOGRAPHS, fetch, load
from calibration.trials import sharp_areas, trial
from tether.sharpness import calibrated

_SEED = 20260314
_TRIALS = 3000
_SIDES = (64, 96, 128, 200)


def main(folder: Path) -> None:
    """Rebuild the coefficients from the photographs in `folder`."""
    fetch(folder)
    rng = np.random.default_rng(_SEED)
    areas = [
        (number, area)
        for number, photograph in enumerate(PHOTOGRAPHS)
        for area in sharp_areas(load(photograph, folder))
    ]
    sources = len({number for number, _ in areas})
    samples = []
    for count in range(_TRIALS):
        number, area = areas[count % len(areas)]
        found = sample(trial(area, number, rng), int(rng.choice(_SIDES)))
        if found is not None:
            samples.append(found)
    told = f"{len(samples)} areas, 64 to 200 px a side, of {sources} photographs"
    print(told)
    results = {"widest": fitted(samples, 0), "narrowest": fitted(samples, 1)}
    for name, result in results.items():
        print(f"{name}: covers {result.coverage:.1%} of photographs left out of the fit")
    Path(calibrated.__file__).write_text(_written(told, results), encoding="utf-8")


def _written(told: str, results: dict[str, Fitted]) -> str:
    lines = [
        '"""Bias and error of an edge width, as multiples of the spread; see `interval`.',
        "",
        f"Written by `python -m calibration` from {told}.",
        '"""',
        "",
        "from __future__ import annotations",
        "",
        "Coefficients = tuple[tuple[float, ...], tuple[float, ...], float, float]",
        "",
    ]
    for name, result in results.items():
        bias, error = (tuple(np.round(one, 3).tolist()) for one in (result.bias, result.error))
        points = (f"{result.below:.2f}", f"{result.above:.2f}")
        lines.append(f"{name.upper()}: Coefficients = (")
        lines += [f"    {part}," for part in (bias, error, *points)]
        lines.append(")")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory(prefix="tether-calibration-") as made:
            main(Path(made))
