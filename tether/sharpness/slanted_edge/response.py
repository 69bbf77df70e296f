"""From the edge spread function to the response."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from tether.sharpness.slanted_edge.spread import STEP, Spread
from tether.sharpness.slanted_edge.unfit import Unfit, UnfitEdge

Floats = NDArray[np.float64]

HALF = 0.5
_FLAT = 0.5  # of the window's half
_FREQUENCIES = 401  # from 0 to 1 cycle/px
_SLOPE_STEP = 0.0025  # cycles/px


class Response(NamedTuple):
    """Response at `frequencies` (cycles/px), and where it is a half.

    `gradient` says how much each point of the edge spread function moves `mtf50`, shape
    (points,); `by_height` how much a relative change of the step's height does.
    """

    frequencies: Floats
    response: Floats
    mtf50: float
    gradient: Floats
    by_height: float


def tukey(x: Floats, reach: float) -> Floats:
    """Tukey's window: 1 up to half of `reach` from the middle, a cosine's fall to 0 at `reach`."""
    q = np.clip((np.abs(x) / reach - _FLAT) / (1 - _FLAT), 0, 1)
    return np.asarray(0.5 + 0.5 * np.cos(np.pi * q))


def of_taps(frequencies: Floats) -> Floats:
    """Response of the derivative by the taps -1/2, 0, 1/2: sin(2πνh)/(2πνh), h a quarter px."""
    return np.asarray(np.sinc(2 * frequencies * STEP))


def response(spread: Spread, reach: float) -> Response:
    """Response of an edge whose spread function runs from 0 to 1.

    Parameters
    ----------
    spread
        The edge spread function.
    reach
        Where the window ends, px from the edge.

    Raises
    ------
    UnfitEdge
        If the response stays above a half up to 1 cycle/px.
    """
    frequencies: Floats = np.linspace(0, 1, _FREQUENCIES)
    transform = _transform(spread.x, reach, frequencies)
    values: Floats = np.abs(transform @ spread.e)
    # The height of the step is the response at 0; the window would cut what lies beyond it.
    values[0] = 1.0
    below = np.flatnonzero(values < HALF)
    if len(below) == 0:
        raise UnfitEdge(
            Unfit.UNDERSAMPLED,
            "the response stays above a half up to 1 cycle/px, which no lens and pixel do; "
            "the picture was made smaller without smoothing, or drawn",
        )
    above, under = frequencies[below[0] - 1], frequencies[below[0]]

    def at(frequency: float) -> float:
        return float(np.abs(_transform(spread.x, reach, np.array([frequency])) @ spread.e)[0])

    # Between 0 and the first frequency the response jumps to 1 and has no root.
    mtf50 = float(brentq(lambda f: at(f) - HALF, above, under)) if above > 0 else float(under)
    change = (at(mtf50 + _SLOPE_STEP) - at(mtf50 - _SLOPE_STEP)) / (2 * _SLOPE_STEP)
    row = _transform(spread.x, reach, np.array([mtf50]))[0]
    whole = row @ spread.e
    along = (np.conj(whole) * row).real / np.abs(whole)
    frequencies.flags.writeable = values.flags.writeable = False
    return Response(frequencies, values, mtf50, -along / change, HALF / change)


def _transform(x: Floats, reach: float, frequencies: Floats) -> NDArray[np.complex128]:
    """Matrix from the edge spread function to the complex response, shape (frequencies, points).

    Derivative by the taps, window, Fourier transform, and division by the response of the taps.
    """
    inner = x[1:-1]
    kernel = np.exp(-2j * np.pi * np.outer(frequencies, inner)) * tukey(inner, reach)
    kernel /= of_taps(frequencies)[:, None]
    out = np.zeros((len(frequencies), len(x)), np.complex128)
    out[:, 2:] += kernel / 2
    out[:, :-2] -= kernel / 2
    return out
