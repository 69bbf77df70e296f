"""Where a frame of a static subject stands against its reference, and the two brought together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from tether.model import Rect
from tether.sharpness.tiles import Complexes, Floats, Ints, Modes, modes, side_for, spectra, starts

Doubles = NDArray[np.float64]

FARTHEST = 40
"""Shift that is looked for, px along each axis."""

GROWN = 24
"""Pixels by which tiles reach out of the area: their rims count for little."""

_SMOOTH = 2.0  # px², so that noise has no say in where the two match
_STEEP = 0.01  # (rad/px)², below which shading would have too much
_UP_TO = (0.5, 1.0, 1.6)  # rad/px of each round: the first must not be a wave off
_SLOPE = 0.003  # of a px a px that a frame is expected to turn or grow against its reference
_TRUST = 50.0  # times: overlapping tiles and model errors make the phases say too much


@dataclass(frozen=True, slots=True)
class Registered:
    """Two frames' spectra by tile, the reference moved to where the frame is.

    `frame`, `reference` hold squares and `both` the real part of products, summed over the modes
    of each cell, of shape (tiles, cells). `frame_light`, `reference_light` are the tiles' mean
    light. `frequency` is the cells' frequency, rad/px, `shift` the frame's content against the
    reference's at the middle of the area, px along x and y (down).
    """

    modes: Modes
    frame: Doubles
    reference: Doubles
    both: Doubles
    frame_light: Doubles
    reference_light: Doubles
    frequency: Doubles
    shift: tuple[float, float]


def register(
    frame: Floats,
    reference: Floats,
    inner: Rect,
    unclipped: tuple[Floats, Floats] | None = None,
) -> Registered | None:
    """Bring two areas of one size together.

    First by whole pixels (phase correlation: Kuglin & Hines, Proc. IEEE Conf. Cybernetics and
    Society, 1975), then by the slope of the phase over frequency, which is fitted for a shift, a
    turn, a growth and a shear of the whole area at once.

    Parameters
    ----------
    frame, reference
        Light, shape (rows, columns).
    inner
        The area within them, px; what lies around it is margin.
    unclipped
        How far each pixel of either counts, 0 to 1; None for all alike.

    Returns
    -------
    Registered or None
        None where less than a tile of the area is in both.
    """
    rows, columns = frame.shape
    if min(rows, columns) < side_for(0):
        return None
    down, across = whole_shift(frame, reference)
    tops = _common(inner.y, inner.y + inner.height, rows, down)
    lefts = _common(inner.x, inner.x + inner.width, columns, across)
    side = side_for(min(tops[1] - tops[0], lefts[1] - lefts[0]))
    if tops[1] - tops[0] < side or lefts[1] - lefts[0] < side:
        return None
    y, x = starts(*tops, side), starts(*lefts, side)
    weight = None if unclipped is None else _met(*unclipped, down, across)
    f, frame_light = spectra(frame, y, x, side, weight)
    moved = None if weight is None else np.roll(weight, (-down, -across), (0, 1))
    r, reference_light = spectra(reference, y - down, x - across, side, moved)
    middle = (sum(tops) / 2, sum(lefts) / 2)
    place = np.stack(
        [
            np.ones(len(y) * len(x)),
            (np.repeat(y, len(x)) + side / 2 - middle[0]) / side,
            (np.tile(x, len(y)) + side / 2 - middle[1]) / side,
        ],
        1,
    )
    return _fine(f, r, place, modes(side), (down, across), frame_light, reference_light)


def whole_shift(frame: Floats, reference: Floats) -> tuple[int, int]:
    """Find the shift of a frame's content against the reference's: px down and along the rows."""
    f, r = _half(frame), _half(reference)
    seen = np.outer(*(np.hanning(n).astype(np.float32) for n in f.shape))
    shape = [fft.next_fast_len(n, real=True) for n in f.shape]
    product = fft.rfft2((f - f.mean()) * seen, shape)
    product *= np.conj(fft.rfft2((r - r.mean()) * seen, shape))
    size = np.abs(product)
    down = 2 * np.pi * np.fft.fftfreq(shape[0])[:, None]
    across = 2 * np.pi * np.fft.rfftfreq(shape[1])[None, :]
    w2 = (down**2 + across**2).astype(np.float32)
    product *= w2 / (w2 + np.float32(_STEEP)) * np.exp(np.float32(-_SMOOTH) * w2)
    product /= size + np.float32(1e-9) * size.max() + np.float32(1e-30)
    match = fft.irfft2(product, shape)
    far = [min(FARTHEST // 2, (n - 1) // 2) for n in shape]
    near = np.roll(match, far, (0, 1))[: 2 * far[0] + 1, : 2 * far[1] + 1]
    y, x = np.unravel_index(int(np.argmax(near)), near.shape)
    found = (
        y - far[0] + _crest(near[:, x], int(y)),
        x - far[1] + _crest(near[y, :], int(x)),
    )
    return round(2 * float(found[0])), round(2 * float(found[1]))


def _crest(line: Floats, at: int) -> float:
    """How far beside its greatest value a parabola through it and its neighbours is greatest."""
    if not 0 < at < len(line) - 1:
        return 0.0
    before, here, after = (float(v) for v in line[at - 1 : at + 2])
    bend = before - 2 * here + after
    return 0.5 * (before - after) / bend if bend < 0 else 0.0


def _half(light: Floats) -> Floats:
    h, w = (n // 2 * 2 for n in light.shape)
    out = light[0:h:2, 0:w:2] + light[1:h:2, 0:w:2]
    out += light[0:h:2, 1:w:2]
    out += light[1:h:2, 1:w:2]
    return out


def _common(start: int, end: int, length: int, shift: int) -> tuple[int, int]:
    """From where to where both frames have the area and a little of its margin."""
    return max(start - GROWN, 0, shift), min(end + GROWN, length, length + shift)


def _met(frame: Floats, reference: Floats, down: int, across: int) -> Floats:
    return np.asarray(frame * np.roll(reference, (down, across), (0, 1)))


def _fine(
    f: Complexes,
    r: Complexes,
    place: Doubles,
    m: Modes,
    whole: tuple[int, int],
    frame_light: Doubles,
    reference_light: Doubles,
) -> Registered:
    power_f = f.real**2 + f.imag**2
    power_r = r.real**2 + r.imag**2
    frame, reference = m.summed(power_f), m.summed(power_r)
    product = f * np.conj(r)
    level = np.sqrt(frame.sum(0) * reference.sum(0)) + 1e-30
    w = np.hypot(m.down, m.across)
    which = np.repeat(np.arange(len(m.start)), m.count.astype(np.intp))
    terms = np.zeros(6)
    turned, sums = product, m.summed(product.real)
    for up_to in _UP_TO:
        alike = np.clip(sums.sum(0) / level, 0, 0.99)
        trust = (alike**2 / (1 - alike**2) / level * m.count)[which].astype(np.float32)
        low = np.flatnonzero(w < up_to)
        terms += _step(turned[:, low] * trust[low], place, m, low, terms)
        turned = _turned(product, place, terms, m)
        sums = m.summed(turned.real)
    mean = np.sqrt(power_f.sum(0) * power_r.sum(0)) + np.float32(1e-30)
    return Registered(
        m,
        frame,
        reference,
        sums,
        frame_light,
        reference_light,
        np.sqrt(m.summed(mean * w**2) / m.summed(mean)),
        (float(whole[1] + terms[3]), float(whole[0] + terms[0])),
    )


def _step(weighted: Complexes, place: Doubles, m: Modes, low: Ints, terms: Doubles) -> Doubles:
    """One step of Gauss and Newton for the shift as a linear function of the tile's place."""
    down, across = m.down[low], m.across[low]
    cosine, sine = np.maximum(weighted.real, 0), weighted.imag
    dd, aa, da = (cosine @ q for q in (down**2, across**2, down * across))
    stiff = np.zeros((6, 6))
    stiff[:3, :3] = place.T @ (place * dd[:, None])
    stiff[3:, 3:] = place.T @ (place * aa[:, None])
    stiff[:3, 3:] = place.T @ (place * da[:, None])
    stiff[3:, :3] = stiff[:3, 3:].T
    held = np.array([0, 1, 1, 0, 1, 1]) * _TRUST / (_SLOPE * m.side) ** 2
    push = np.concatenate([-(place.T @ (sine @ down)), -(place.T @ (sine @ across))])
    stiff += np.diag(held + 1e-6 * np.trace(stiff) + 1e-12)
    return np.asarray(np.linalg.solve(stiff, push - held * terms))


def _turned(product: Complexes, place: Doubles, terms: Doubles, m: Modes) -> Complexes:
    """Turn the phases as a shift of each tile asks."""
    side = np.arange(m.side)
    down = (2 * np.pi * np.fft.fftfreq(m.side))[None, :] * (place @ terms[:3])[:, None]
    across = (2 * np.pi * side[: m.side // 2 + 1] / m.side)[None, :] * (place @ terms[3:])[:, None]
    by_row = np.exp(1j * down).astype(np.complex64)
    by_column = np.exp(1j * across).astype(np.complex64)
    turn = np.take(by_row, m.row, axis=1)
    turn *= np.take(by_column, m.column, axis=1)
    turn *= product
    return turn
