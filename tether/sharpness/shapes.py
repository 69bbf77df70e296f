"""How the blur that lies between two frames passes detail: Gaussian, defocus disk, movement.

Each is the transform of the blur's shadow along one direction, as a function of v = w² s²: the
square of the spatial frequency, rad/px, times the shadow's variance, px². Every shape begins as
1 - v/2, so that slight blurs are told alike by all three.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

Doubles = NDArray[np.float64]

_MOST = 80.0  # of v: past any lobe that could be seen
_LEAST = 1e-5


@dataclass(frozen=True, slots=True)
class Shape:
    """One kind of blur.

    `passed` gives, for v of any shape of array, the share of detail that is passed and its
    derivative by v; `rise` is the blur's own 10–90 % rise over its standard deviation.
    """

    name: str
    passed: Callable[[Doubles], tuple[Doubles, Doubles]]
    rise: float


def _gaussian(v: Doubles) -> tuple[Doubles, Doubles]:
    """exp(-v/2)."""
    passed = np.exp(-np.minimum(v, _MOST) / 2)
    return passed, -passed / 2


def _disk(v: Doubles) -> tuple[Doubles, Doubles]:
    """2 J1(x)/x with x = 2 sqrt(v): a disk's diameter is 4 of its standard deviations."""
    x = 2 * np.sqrt(np.clip(v, _LEAST, _MOST))
    passed = 2 * special.j1(x) / x
    return passed, (special.j0(x) - passed) * 4 / x**2


def _box(v: Doubles) -> tuple[Doubles, Doubles]:
    """sin(x)/x with x = sqrt(3 v): an even movement is sqrt(12) of its deviations long."""
    x = np.sqrt(3 * np.clip(v, _LEAST, _MOST))
    passed = np.sin(x) / x
    return passed, (np.cos(x) - passed) * 1.5 / x**2


GAUSSIAN = Shape("Gaussian", _gaussian, 2.5631031310892007)
DISK = Shape("disk", _disk, 4 * 0.6870493)
BOX = Shape("box", _box, 0.8 * sqrt(12))
SHAPES = (GAUSSIAN, DISK, BOX)
