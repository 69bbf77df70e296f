"""`python -m calibration [FOLDER]`: fetch, blur, measure, train, and write the weights."""

from __future__ import annotations

import os
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from calibration.fit import Fitted, fitted
from calibration.photographs import fetch
from calibration.report import report
from calibration.trials import Trial, trials
from tether.sharpness import network
from tether.sharpness.network import Stage

_SEED = 7000
_PARTS = 14  # drawn side by side, each from a seed of its own
_OF_PHOTOGRAPHS, _OF_SCENES = 1000, 2100  # trials of each part


def main(folder: Path) -> None:
    """Rebuild the weights from the photographs in `folder` and from rendered subjects."""
    fetch(folder)
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        parts = list(pool.map(partial(_part, folder), range(_PARTS)))
    found = [t for part in parts for t in part]
    # One thread: the order of sums, and so the last digit, must not depend on the machine's cores.
    with threadpool_limits(limits=1, user_api="blas"):
        result = fitted(found, _SEED)
    report(found, result)
    Path(network.__file__).with_name("calibrated.npz").write_bytes(_stored(result))


def _part(folder: Path, number: int) -> list[Trial]:
    with threadpool_limits(limits=1, user_api="blas"):
        rng = np.random.default_rng(_SEED + number)
        return list(trials(folder, _OF_PHOTOGRAPHS, _OF_SCENES, rng))


def _stored(result: Fitted) -> bytes:
    found = result.calibration
    arrays = {"points": found.points, **_arrays("widths", found.widths)}
    arrays.update(_arrays("errors", found.errors))
    out = BytesIO()
    np.savez_compressed(out, allow_pickle=False, **arrays)
    return out.getvalue()


def _arrays(name: str, stage: Stage) -> dict[str, NDArray[Any]]:
    arrays = {f"{name}.centre": stage.centre, f"{name}.scale": stage.scale}
    for n, (weights, offsets) in enumerate(stage.layers):
        arrays[f"{name}.weights{n}"] = weights.astype(np.float16)
        arrays[f"{name}.offsets{n}"] = offsets
    return arrays


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory(prefix="tether-calibration-") as made:
            main(Path(made))
