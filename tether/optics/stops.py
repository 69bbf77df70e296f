"""The stops that cameras can be set to: thirds, as they are marked."""

from __future__ import annotations

import math

# ISO 517 and common marking; exact values are 2^(i/6) for f-numbers and 2^(i/3) s for times.
F_NUMBERS = (
    1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1,
    8.0, 9.0, 10.0, 11.0, 13.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 29.0, 32.0,
)  # fmt: skip
PARTS_OF_A_SECOND = (
    8000, 6400, 5000, 4000, 3200, 2500, 2000, 1600, 1250, 1000, 800, 640, 500, 400, 320, 250, 200,
    160, 125, 100, 80, 60, 50, 40, 30, 25, 20, 15, 13, 10, 8, 6, 5, 4,
)  # fmt: skip

_ROUNDING = 1.001  # a time or stop as marked is not above itself for a float's last digit


def time_within(seconds: float) -> float | None:
    """The longest marked time that is no longer than this, s; None under 1/8000 s.

    Shutters of interchangeable-lens cameras end there: common practice, no source.
    """
    found = (
        1.0 / part for part in reversed(PARTS_OF_A_SECOND) if 1.0 / part <= seconds * _ROUNDING
    )
    return next(found, None)


def f_number_within(f_number: float) -> float | None:
    """The largest marked f-number that is no larger than this; None under f/1."""
    return next((n for n in reversed(F_NUMBERS) if n <= f_number * _ROUNDING), None)


def f_number_near(f_number: float) -> float:
    """The marked f-number nearest to this, in stops."""
    return min(F_NUMBERS, key=lambda n: abs(math.log(n / f_number)))


def time_stops(longer_s: float, shorter_s: float) -> float:
    """How many stops of light the shorter of two times takes away."""
    return math.log2(longer_s / shorter_s)
