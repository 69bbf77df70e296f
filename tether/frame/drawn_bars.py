"""How alike a line across bars is to the bars of a code as they would be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.frame.scanned import Scanned, bars_of

if TYPE_CHECKING:
    from tether.frame.bar_lines import Line

_SAMPLES = 400
_ENDS = np.linspace(-0.021, 0.021, 7)  # of the width: how far off its ends may be told
_TILTS = np.linspace(-0.1, 0.1, 11)  # of the width: how far a tilt moves its middle
_WIDE = (2.0, 2.5, 3.0)  # narrow bars a wide one may have (ISO/IEC 16388, 16390)


@dataclass(frozen=True, slots=True)
class Alike:
    """The correlation, and where the code then begins and ends, px of the line, in modules."""

    share: float
    left: float
    right: float
    modules: float


def alike(line: Line, code: Scanned, left: float, right: float) -> Alike | None:
    """Hold a line against the bars of a code that should lie between `left` and `right`.

    The ends are looked for around there, and the bars closer together towards one end, as on a
    card that is tilted.

    Returns
    -------
    Alike or None
        None where the code cannot be drawn.
    """
    runs = bars_of(code)
    if runs is None or right - left < 2:
        return None
    drawings = [runs]
    if code.family in {"Code39", "ITF"}:
        drawings = [np.where(runs > 1, wide, 1.0) for wide in _WIDE]
    found = [_best(line, drawn, left, right) for drawn in drawings]
    return max(found, key=lambda one: one.share)


def _best(line: Line, runs: NDArray[np.float64], left: float, right: float) -> Alike:
    width = right - left
    ends = np.array([(left + a * width, right + b * width) for a in _ENDS for b in _ENDS])
    at = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    seen = np.interp(ends[:, :1] + np.diff(ends, axis=1) * at, np.arange(line.size) + 0.5, line)
    seen -= seen.mean(1, keepdims=True)
    # Samples average over their length, and so must what they are held against.
    edges = np.concatenate([[0.0], np.cumsum(runs)]) / runs.sum()
    ink = np.concatenate([[0.0], np.cumsum(np.diff(edges) * (np.arange(runs.size) % 2 == 0))])
    grid = np.linspace(0, 1, _SAMPLES + 1)
    tilted = grid + _TILTS[:, np.newaxis] * grid * (1 - grid)
    drawn = np.diff(np.interp(tilted, edges, ink), axis=1)
    drawn -= drawn.mean(1, keepdims=True)
    norms = np.outer(np.linalg.norm(seen, axis=1), np.linalg.norm(drawn, axis=1))
    # Light on dark is as good.
    shares = np.abs(seen @ drawn.T) / np.maximum(norms, 1e-9)
    best = int(shares.max(1).argmax())
    begins, stops = ends[best].tolist()
    return Alike(float(shares[best].max()), begins, stops, float(runs.sum()))
