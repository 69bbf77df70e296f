"""What a measurement rests on: the edges of an area, and its edge width by direction."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tether.model import Rect
from tether.sharpness.direction import Swing, swing
from tether.sharpness.measure import FEWEST
from tether.sharpness.sizes import tell
from tether.sharpness.spectra import turns
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import Pixels, traits
from tether.sharpness.widths import Widths

Doubles = NDArray[np.float64]


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
    told, halved = tell(shown, pixels, inner, curve)
    log_px, low, high = told.directions
    fitted = swing(log_px, high - low)
    px, lo, hi = np.exp(told.directions)
    widths = ByDirection(np.degrees(turns()), px, lo, hi, fitted, halved)
    return Evidence(edges, widths)


def swung(fitted: Swing, angle: Doubles) -> Doubles:
    """Edge width of a swing, px, in directions given in rad."""
    wide, narrow = np.exp(2 * fitted.wide), np.exp(2 * fitted.narrow)
    turned = np.cos(2 * (angle - fitted.angle))
    return np.asarray(np.sqrt((wide + narrow) / 2 + (wide - narrow) / 2 * turned))
