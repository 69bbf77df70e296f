"""What the calibration reads on subjects that each network was trained without."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calibration.fit import Fitted
from calibration.trials import KINDS, Trial
from tether.sharpness.measure import FEWEST
from tether.sharpness.sizes import WIDEST_INTERVAL

F = NDArray[np.float64]


def report(trials: list[Trial], result: Fitted) -> None:
    """Print errors, coverage and movements told, for photographs and for rendered subjects."""
    truth = np.log(np.array([t.widths for t in trials]))
    truth = np.stack([truth.max(1), truth.min(1)], 1)
    off = truth - result.read
    low, high = result.calibration.points[0]
    covered = (off[:, 0] >= low * result.error[:, 0]) & (off[:, 0] <= high * result.error[:, 0])
    edges = np.array([len(t.shown.found.px) for t in trials])
    judged = (edges >= FEWEST) & (np.exp((high - low) * result.error[:, 0]) <= WIDEST_INTERVAL)
    kinds = np.array([t.kind for t in trials])
    photograph = np.array([t.photograph for t in trials])
    print(f"{'':24}{'trials':>8}{'judged':>8}{'error':>8}{'90 %':>8}{'covered':>9}{'moved':>8}")
    for name, group in (("photographs", photograph), ("rendered", ~photograph)):
        for kind in KINDS:
            here = group & (kinds == kind)
            some = here & judged & (np.exp(truth[:, 0]) <= 12)
            if not some.any():
                continue
            error = np.abs(np.exp(-off[some, 0]) - 1)
            print(
                f"{name:14}{kind:10}{here.sum():>8}{judged[here].mean():>8.1%}"
                f"{np.median(error):>8.1%}{np.quantile(error, 0.9):>8.1%}"
                f"{covered[some].mean():>9.1%}{(result.moved[some] > 0.5).mean():>8.1%}"
            )
