"""Noise and light of two frames by tile, before their detail is compared."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tether.sharpness.cells import Cells, Doubles, scaled
from tether.sharpness.register import Registered
from tether.sharpness.response import DOUBT, Fit, passed
from tether.sharpness.tiles import BANDS, DIRECTIONS, Ints

_LOW = 0.05  # quantile of what a band's cells hold that is taken for noise alone
_LOWEST = 0.3  # share of a band's cells in which the noise is told once the blur is known
_DARK = 0.002  # of full scale: read noise and code steps, where there is no light
_COLOURED = 6.0  # times that smoothed noise may be stronger in a lower band than in the highest
_GAIN = 0.15  # of ln of light by which tiles are expected to differ
_BUNDLE = 3  # directions that share a noise


def noise_of(power: Doubles, light: Doubles, r: Registered) -> Doubles:
    """Mean square of a mode's noise by cell, told from where a band holds least.

    Noise grows with the light (shot noise), so tiles are compared at equal light. In a subject that
    is textured everywhere this is the least of the texture: harmless, since it is then the same
    multiple of the truth for both frames.
    """
    m = r.modes
    per_mode = power / m.count / _brightness(light)[:, None]
    first = int(np.searchsorted(m.band, m.full))
    if first == len(m.band):
        return np.full(len(m.band), float(per_mode.min()))
    filled = per_mode[:, first:].reshape(len(power), -1, DIRECTIONS)
    by_band = filled.swapaxes(0, 1).reshape(filled.shape[1], -1)
    nth = int(_LOW * by_band.shape[1])
    least = np.partition(by_band, nth, axis=1)[:, nth]
    # The least of many is below the mean: by chi squared, of so many modes.
    least /= 1 - 1.2 / np.sqrt(m.count[first:].reshape(-1, DIRECTIONS).mean(1))
    bands = np.concatenate([np.full(m.full, least[0]), least])
    return np.asarray(np.minimum(bands, _COLOURED * least[-1])[m.band])


def refined(
    r: Registered, frame_noise: Doubles, reference_noise: Doubles, fit: Fit, gain: Doubles
) -> tuple[Doubles, Doubles]:
    """Noise by cell once the blur is known: what the one frame holds and the other does not.

    With response H, the noise of the frame is FF - H FR and that of the reference RR - FR / H,
    whatever the scene; where the scene is weakest they are told best.
    """
    m = r.modes
    if m.full >= BANDS:
        return frame_noise, reference_noise
    hf, hr = passed(fit.shape, fit.terms, r.frequency, m.turn)
    response = np.exp(fit.terms[3]) * hf / np.maximum(hr, 0.05) * np.exp(gain)[:, None]
    own = r.frame - response * r.both
    other = r.reference - r.both / np.where(np.abs(response) < 0.05, 0.05, response)
    first = int(np.searchsorted(m.band, m.full))
    out = []
    tall = (len(r.frame), -1, DIRECTIONS // _BUNDLE, _BUNDLE)
    lit_f, lit_r = (_brightness(q)[:, None, None] for q in (r.frame_light, r.reference_light))
    count = m.count[first:].reshape(tall[1:]).sum(-1)
    held = [q[:, first:].reshape(tall).sum(-1) for q in (r.frame, r.reference, own, other)]
    power = held[0] * held[1] / (lit_f * lit_r)
    for square, lit, before in (
        (held[2], lit_f, frame_noise),
        (held[3], lit_r, reference_noise),
    ):
        per_mode = square / count / lit
        bands = np.empty(BANDS)
        for i in range(per_mode.shape[1]):
            least = np.argsort(power[:, i].ravel())
            least = least[: max(int(_LOWEST * len(least)), 3)]
            bands[m.full + i] = per_mode[:, i].ravel()[least].mean()
        bands[: m.full] = bands[m.full]
        out.append(np.maximum(bands[m.band], 0.02 * before))
    return out[0], out[1]


def levelled(cells: Cells, fit: Fit, band: Ints) -> Cells:
    """Cells whose noises are scaled, band by band, to what remains when the fit is taken off.

    FF - 2 H FR + H² RR holds no scene: it is the frame's noise and H² times the reference's,
    with all that no noise level knows of, as JPEG's steps on busy ground.
    """
    hf, hr = passed(fit.shape, fit.terms, cells.w, cells.turn)
    response = np.exp(fit.terms[3]) * hf / np.maximum(hr, 0.05)
    remains = cells.frame - 2 * response * cells.both + response**2 * cells.reference
    expected = cells.frame_noise + response**2 * cells.reference_noise
    over = np.bincount(band, remains * cells.weight, BANDS) / np.maximum(
        np.bincount(band, expected * cells.weight, BANDS), 1e-30
    )
    times = np.clip(over, 0.5, 1e3)[band]
    return replace(
        cells,
        frame_noise=times * cells.frame_noise,
        reference_noise=times * cells.reference_noise,
    )


def joined(
    r: Registered, frame_noise: Doubles, reference_noise: Doubles, gain: Doubles | None = None
) -> Cells:
    """Mean over the tiles, each tile's light first made equal by `gain` (ln, shape (tiles,))."""
    more = np.ones(len(r.frame)) if gain is None else np.exp(gain)
    count = r.modes.count
    tiles = len(more)
    of_frame = _brightness(r.frame_light) / more
    of_reference = _brightness(r.reference_light) * more
    return Cells(
        (r.frame / more[:, None]).mean(0) / count,
        (r.reference * more[:, None]).mean(0) / count,
        r.both.mean(0) / count,
        count * tiles,
        r.frequency,
        r.modes.turn,
        frame_noise * float(of_frame.mean()),
        reference_noise * float(of_reference.mean()),
    )


def gains(r: Registered, frame_noise: Doubles, reference_noise: Doubles, fit: Fit) -> Doubles:
    """Light of each tile of the frame over that of the whole, ln, shape (tiles,).

    Where a lamp moved, or shading did, parts of a subject gain contrast and others lose it. Told
    from the tile's own ratios where the blur passes most, and held towards nothing.
    """
    of_frame, of_reference = (_brightness(q)[:, None] for q in (r.frame_light, r.reference_light))
    count = r.modes.count
    cells = Cells(
        r.frame / count,
        r.reference / count,
        r.both / count,
        count,
        r.frequency,
        r.modes.turn,
        frame_noise * of_frame,
        reference_noise * of_reference,
    )
    s = scaled(cells, DOUBT)
    hf, hr = passed(fit.shape, fit.terms, r.frequency, r.modes.turn)
    trust = s.told * ((hf > 0.3) & (hr > 0.3) & (r.frequency < 1.2))
    expected = fit.terms[3] + np.log(np.maximum(hf, 0.01) / np.maximum(hr, 0.01))
    off = np.clip(s.slope - expected, -1, 1)
    return np.asarray((trust * off).sum(1) / (trust.sum(1) + 1 / _GAIN**2))


def _brightness(light: Doubles) -> Doubles:
    """Light of tiles over their mean."""
    lit = np.maximum(light, 0) + _DARK
    return np.asarray(lit / lit.mean())
