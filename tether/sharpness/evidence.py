"""What a measurement rests on: the edges of an area, and its edge width by direction."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tether.model import Rect
from tether.sharpness.direction import Swing, swing
from tether.sharpness.interval import first_stage, judged
from tether.sharpness.measure import (
    FEWEST,
    LEAST_HALVED,
    halved,
    share_of_halved,
    surer,
)
from tether.sharpness.network import by_direction, calibration
from tether.sharpness.spectra import turns
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import Pixels, Traits, traits
from tether.sharpness.widths import Widths

Doubles = NDArray[np.float64]

_TWO_SIDED = 1.959963984540054
"""Standard deviations that hold 95 % of a normal distribution."""


@dataclass(frozen=True, slots=True)
class ByDirection:
    """Edge width in every direction, as told before widest and narrowest are corrected.

    `angle_deg` are the directions, degrees counter-clockwise from +x, in [0, 180); `px` the widths
    and `lo`, `hi` their 95 % intervals, px. All of shape (`DIRECTIONS`,). `swing` is fitted to
    them. `halved` is the share of these numbers that comes from the area at half its size, or
    smaller, in [0, 1]: wide blurs are plainer there.
    """

    angle_deg: Doubles
    px: Doubles
    lo: Doubles
    hi: Doubles
    swing: Swing
    halved: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """What an area's measurement rests on.

    `edges` are the edges that were used, their places in px from the area's top left corner.
    `widths` is None where these are too few to tell a width.
    """

    edges: Widths
    widths: ByDirection | None


def evidence(pixels: Pixels, inner: Rect, curve: ToneCurve = ToneCurve.SRGB) -> Evidence:
    """Gather what `measure` rests on, given the same pixels.

    Parameters
    ----------
    pixels
        Luma, uint8 or uint16, shape (rows, columns), the area with its margin.
    inner
        The area within `pixels`, px.
    curve
        How they code light.
    """
    shown = traits(pixels, inner, curve)
    found = shown.found
    edges = replace(found, x=found.x - np.float32(inner.x), y=found.y - np.float32(inner.y))
    if len(found.px) < FEWEST:
        return Evidence(edges, None)
    log_width, error, halved = _told(shown, pixels, inner, curve)
    spread = _TWO_SIDED * error
    lo, px, hi = (np.exp(log_width + d) for d in (-spread, 0.0, spread))
    told = ByDirection(np.degrees(turns()), px, lo, hi, swing(log_width, error), halved)
    return Evidence(edges, told)


def swung(fitted: Swing, angle: Doubles) -> Doubles:
    """Edge width of a swing, px, in directions given in rad."""
    wide, narrow = np.exp(2 * fitted.wide), np.exp(2 * fitted.narrow)
    turned = np.cos(2 * (angle - fitted.angle))
    return np.asarray(np.sqrt((wide + narrow) / 2 + (wide - narrow) / 2 * turned))


def _told(
    shown: Traits, pixels: Pixels, inner: Rect, curve: ToneCurve
) -> tuple[Doubles, Doubles, float]:
    """Ln width, its error, and the share of the halved area, joined as `measure` joins them."""
    how = calibration()
    log_width, error = first_stage(how.widths(by_direction(shown)))
    widest = judged(shown, how).widest
    share = share_of_halved(widest)
    if share == 0 or min(inner.width, inner.height) < 2 * LEAST_HALVED:
        return log_width, error, 0.0
    half, within = halved(pixels, inner)
    smaller = traits(half, within, curve)
    coarse, coarse_error, _ = _told(smaller, half, within, curve)
    share *= surer(widest, judged(smaller, how).widest)
    return (
        (1 - share) * log_width + share * (coarse + np.log(2)),
        (1 - share) * error + share * coarse_error,
        share,
    )
