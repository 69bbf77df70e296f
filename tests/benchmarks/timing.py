"""Times of steps taken in turn, so that a machine whose speed drifts is fair to all of them."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray


def in_turn(
    steps: Mapping[str, Callable[[], object]], rounds: int
) -> dict[str, NDArray[np.float64]]:
    """Seconds of each step in each round, after one round that does not count."""
    taken: dict[str, list[float]] = {name: [] for name in steps}
    for counts in [False] + [True] * rounds:
        for name, step in steps.items():
            begun = time.perf_counter()
            step()
            if counts:
                taken[name].append(time.perf_counter() - begun)
    return {name: np.array(seconds) for name, seconds in taken.items()}


def report(name: str, found: float, most: float, unit: str = "") -> bool:
    """Print one figure against what it may be; True if it is within."""
    good = found <= most
    print(f"  {name:<66} {found:8.2f} {unit:<4} at most {most:g}  {'' if good else '  <-- OVER'}")
    return good
