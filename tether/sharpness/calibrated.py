"""Bias and error of an edge width, as multiples of the spread; see `interval`.

Written by `python -m calibration` from 2937 areas, 64 to 200 px a side, of 16 photographs.
"""

from __future__ import annotations

Coefficients = tuple[tuple[float, ...], tuple[float, ...], float, float]

WIDEST: Coefficients = (
    (0.947, -0.42, 0.261, 0.95, 0.529),
    (0.555, 0.878, 0.62, 0.276),
    -1.97,
    2.24,
)
NARROWEST: Coefficients = (
    (1.211, -0.206, 0.602, 0.165, -0.129),
    (0.459, 0.078, 0.674, 0.837),
    -1.73,
    2.11,
)
