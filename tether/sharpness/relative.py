"""How blurred a frame is against its reference: one subject, seen twice.

Where both frames show the same detail the subject cancels, and with it most of what makes one
frame's edge width uncertain. What is seen is the variance of the blur that lies between the two;
the ratio of edge widths follows with the reference's own width, which only an absolute
measurement can give.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from tether.model import EdgeWidth, Rect
from tether.sharpness.added import Added, added_blur
from tether.sharpness.cells import Cells, Doubles
from tether.sharpness.pairnoise import gains, joined, levelled, noise_of, refined
from tether.sharpness.register import Registered, register
from tether.sharpness.response import fit_blur, tile_pushes
from tether.sharpness.shapes import DISK, SHAPES
from tether.sharpness.tiles import Floats
from tether.sharpness.tone import ToneCurve, bits_of, linear

MARGIN = 40
"""Pixels of the frames to give around an area, where they have them: a shift of the subject by
more than the margin leaves less of the area in both."""

MATCHED = 0.8
"""Correlation of coarse detail below which two frames do not show the same thing.

Of photographs paired at random 1 in 100 reaches .45 (areas of 64 px a side: .76); of pairs of one
subject, with up to 10 px of blur between them, all reach .9.
"""

OVERLAP_TOO_SMALL = "too little of the area is in both frames"
NO_DETAIL = "too little detail to compare"
NOT_THE_SAME = "the two frames do not show the same thing here"
TOO_UNSURE = "noise hides what detail they share"

_COARSE = 0.5  # rad/px, below which detail must match
_DETAIL = 4.0  # times the noise that coarse detail must reach
_FIRST_DOUBT = 2.5  # times the noise that may be there before the blur is known
_WIDEST_HALF = (
    1.0  # px² of variance: wider intervals than this, and than the blur's half, say nothing
)
_BURNT = 254 / 255
_SPREAD, _SOFT = 5, 9  # px about clipped light that are left out, and over which that fades
_FEW_BURNT = 12
_PIXEL_RISE = 0.8  # px: no edge is narrower than the pixel that averages it (a box of 1 px)
_GAUSSIAN_RISE = 2.5631031310892007


@dataclass(frozen=True, slots=True)
class Comparison:
    """A frame against its reference.

    Where they can be compared `reason` is empty. `ratio` is the edge width of the frame over the
    reference's, along the direction in which they differ most, with its 95 % interval
    `ratio_95`. `added_px` is the 10–90 % rise, px, of the blur that lies between the two along
    that direction, and `added_95` its interval; `across_px` the same at right angles to it. These
    are negative where the frame is the sharper, and an interval without 0 is a change that is
    seen. `angle_deg` is the direction, degrees counter-clockwise from +x in [0, 180), None where
    all directions are alike. `shift_px` is how far the subject stands to the right of and below
    where it stood in the reference, `alike` the correlation of coarse detail.
    """

    ratio: float | None
    ratio_95: tuple[float, float] | None
    added_px: float | None
    added_95: tuple[float, float] | None
    across_px: float | None
    angle_deg: float | None
    shift_px: tuple[float, float] | None
    alike: float
    reason: str = ""


def not_comparable(
    reason: str, alike: float = 0.0, shift: tuple[float, float] | None = None
) -> Comparison:
    """Return a comparison that could not be made, with the reason."""
    return Comparison(None, None, None, None, None, None, shift, alike, reason)


def compare(
    frame: NDArray[np.uint8] | NDArray[np.uint16],
    reference: NDArray[np.uint8] | NDArray[np.uint16],
    inner: Rect,
    reference_width: EdgeWidth | float,
    curve: ToneCurve = ToneCurve.SRGB,
    reference_curve: ToneCurve | None = None,
) -> Comparison:
    """Compare one area of two frames of a static subject.

    Parameters
    ----------
    frame, reference
        Luma, uint8 or uint16, both of one shape (rows, columns), cut from the same place of the
        two frames: the area and, where the frames have them, `MARGIN` pixels around it.
    inner
        The area within them, px.
    reference_width
        Edge width of the reference, px: of its widest direction, without an interval where it is
        known.
    curve, reference_curve
        How the pixels of each code light; the reference's is the frame's if not given.

    Returns
    -------
    Comparison
        The same pixels give the same numbers.

    Raises
    ------
    TypeError
        If pixels are neither uint8 nor uint16.
    ValueError
        If the two are not two-dimensional and of one shape, `inner` is empty or not within them,
        or the reference's width is not above 0.
    """
    width = reference_width
    known = width if isinstance(width, EdgeWidth) else EdgeWidth(width, width, width)
    _check(frame, reference, inner, known)
    registered = register(
        linear(frame, curve),
        linear(reference, curve if reference_curve is None else reference_curve),
        inner,
        _unclipped(frame, reference),
    )
    if registered is None:
        return not_comparable(OVERLAP_TOO_SMALL)
    r = registered
    frame_noise = noise_of(r.frame, r.frame_light, r)
    reference_noise = noise_of(r.reference, r.reference_light, r)
    cells = joined(r, frame_noise, reference_noise)
    alike, detail = _matched(r, cells)
    if detail < _DETAIL:
        return not_comparable(NO_DETAIL, alike, r.shift)
    if alike < MATCHED:
        return not_comparable(NOT_THE_SAME, alike)
    found = _added(r, frame_noise, reference_noise, cells)
    if (found.high - found.low) / 2 > max(_WIDEST_HALF, abs(found.variance) / 2):
        return not_comparable(TOO_UNSURE, alike, r.shift)
    ratio, ratio_95 = _ratio(found, known)
    return Comparison(
        ratio,
        ratio_95,
        found.px(found.variance),
        (found.px(found.low), found.px(found.high)),
        found.px(found.across),
        found.angle_deg,
        r.shift,
        alike,
    )


def _check(
    frame: NDArray[np.generic],
    reference: NDArray[np.generic],
    inner: Rect,
    width: EdgeWidth,
) -> None:
    if frame.ndim != 2 or frame.shape != reference.shape:
        raise ValueError(
            f"both must have two dimensions and one shape, not {frame.shape} and {reference.shape}"
        )
    rows, columns = frame.shape
    inside = inner.x >= 0 and inner.y >= 0 and inner.width > 0 and inner.height > 0
    if not inside or inner.x + inner.width > columns or inner.y + inner.height > rows:
        raise ValueError(f"{inner} is not within {columns} x {rows} pixels")
    if not 0 < width.lo <= width.px <= width.hi < math.inf:
        raise ValueError(f"the reference's edge width must be above 0 px, not {width}")


def _unclipped(
    frame: NDArray[np.uint8] | NDArray[np.uint16], reference: NDArray[np.uint8] | NDArray[np.uint16]
) -> tuple[Floats, Floats] | None:
    """How far each pixel counts: not where light is clipped, and little beside that."""
    burnt = [pixels >= _BURNT * (2 ** bits_of(pixels) - 1) for pixels in (frame, reference)]
    if max(np.count_nonzero(b) for b in burnt) < _FEW_BURNT:
        return None
    wide = [ndimage.maximum_filter(b.astype(np.float32), _SPREAD) for b in burnt]
    f, r = (np.asarray(1 - ndimage.uniform_filter(w, _SOFT), np.float32) for w in wide)
    return f, r


def _matched(r: Registered, cells: Cells) -> tuple[float, float]:
    """Correlation of coarse detail, and how many times its noise it is in the poorer frame."""
    low = cells.w < _COARSE
    f, o, both = (
        float((q * r.modes.count)[low].sum()) for q in (cells.frame, cells.reference, cells.both)
    )
    noise = [
        float((q * r.modes.count)[low].sum()) for q in (cells.frame_noise, cells.reference_noise)
    ]
    detail = min(f / (noise[0] + 1e-30), o / (noise[1] + 1e-30))
    return max(0.0, min(1.0, both / math.sqrt(f * o + 1e-30))), detail


def _added(r: Registered, frame_noise: Doubles, reference_noise: Doubles, cells: Cells) -> Added:
    """The blur between the two, once light and noise of the tiles are evened out."""
    fit = fit_blur(cells, DISK, _FIRST_DOUBT)
    gain = gains(r, frame_noise, reference_noise, fit)
    noises = refined(r, frame_noise, reference_noise, fit, gain)
    cells = levelled(joined(r, *noises, gain), fit, r.modes.band)
    fit = fit_blur(cells, DISK)
    fits = [fit if s is DISK else fit_blur(cells, s, near=fit) for s in SHAPES]
    count, more = r.modes.count, np.exp(gain)[:, None]
    tiles = (r.frame / more / count, r.reference * more / count, r.both / count)
    return added_blur(fits, [tile_pushes(one, cells, *tiles) for one in fits])


def _ratio(found: Added, reference: EdgeWidth) -> tuple[float, tuple[float, float]]:
    """Edge width over the reference's, and its interval: of the blur and of the width together."""
    centre, low, high = (
        _wider(variance, reference.px, found.rise)
        for variance in (found.variance, found.low, found.high)
    )
    narrow, wide = (_wider(found.variance, px, found.rise) for px in (reference.lo, reference.hi))
    down = math.hypot(math.log(centre / low), math.log(centre / min(narrow, wide, centre)))
    up = math.hypot(math.log(high / centre), math.log(max(narrow, wide, centre) / centre))
    lo, hi = centre * math.exp(-down), centre * math.exp(up)
    # A doubtful width of the reference puts no doubt on whether there is a change.
    if found.low > 0:
        lo = max(lo, _wider(found.low, reference.hi, found.rise))
    elif found.high < 0:
        hi = min(hi, _wider(found.high, reference.hi, found.rise))
    return centre, (min(lo, centre), max(hi, centre))


def _wider(variance: float, px: float, rise: float) -> float:
    """Edge width over `px` once a blur of this variance is added, or taken off where negative.

    Variances add. The 10–90 % rise of their sum goes from a Gaussian's to the added blur's own as
    the square of the share that the blur has in it: the excess kurtosis of a sum, to which a
    quantile is proportional at first (Cornish & Fisher, Rev. Inst. Int. Statist. 5(4), 1938).
    """
    shape = rise / _GAUSSIAN_RISE - 1
    own = (px / _GAUSSIAN_RISE) ** 2
    if variance >= 0:
        whole = own + variance
        share = variance / whole
        return _GAUSSIAN_RISE * math.sqrt(whole) * (1 + shape * share**2) / px
    # The reference is the blurred one, and its width the sum's.
    share = 0.0
    for _ in range(4):
        whole = own / (1 + shape * share**2) ** 2
        share = min(1.0, -variance / whole)
    return max(_GAUSSIAN_RISE * math.sqrt(max(whole + variance, 0.0)), min(_PIXEL_RISE, px)) / px
