"""The blur that lies between two frames, fitted to their cross-spectra by direction and band.

Both frames are one scene S blurred and noisy: F = g hf S + nf, R = hr S + nr. The spectral matrix
M of a cell is then P v v' + diag(noise), with v = (g hf, hr) and P the scene's own power there.
Scaled to unit noise, its likelihood with the best P depends on q = v' M v / v'v alone, as
q - 1 - ln q where q > 1 (factor analysis with known uniquenesses: Lawley & Maxwell, Factor Analysis
as a Statistical Method, 1971; of spectra: Whittle, Arkiv för Matematik 2, 1953). This is total
least squares: noise in the reference weakens the answer but does not turn it, and only the ratio of
the two noises matters.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tether.sharpness.cells import Cells, Doubles, Scaled, scaled
from tether.sharpness.shapes import Shape

DOUBT = 1.3
"""Times the noise that may be there: its level is told from the least noisy cells."""

_ROUNDS = 20
_VARIANCES = (-6.0, -3.0, -1.5, -0.5, 0.0, 0.5, 1.5, 3.0, 6.0, 12.0, 20.0)
_MOVEMENTS = (2.0, 5.0, 9.0, 16.0)
_TURNS = np.arange(0, 2 * np.pi, np.pi / 4)
_BLURS = np.array(
    [(a, 0.0, 0.0) for a in _VARIANCES]
    + [(a / 2, a / 2 * np.cos(t), a / 2 * np.sin(t)) for a in _MOVEMENTS for t in _TURNS]
)
_ABOUT = np.array([0.6, 0.8, 1.0, 1.3])


@dataclass(frozen=True, slots=True)
class Fit:
    """The blur between two frames.

    Its variance along direction t is a + b cos 2t + c sin 2t px², negative where the frame is the
    sharper. `terms` are a, b, c and ln g, `stiff` the second derivative of the negative log
    likelihood, `likelihood` its logarithm, `shape` the kind of blur.
    """

    terms: Doubles
    stiff: Doubles
    likelihood: float
    shape: Shape


def passed(shape: Shape, terms: Doubles, w: Doubles, turn: Doubles) -> tuple[Doubles, Doubles]:
    """Detail that the frame's and the reference's share of the blur pass, by cell."""
    v = (terms[0] + terms[1] * np.cos(2 * turn) + terms[2] * np.sin(2 * turn)) * w**2
    h = shape.passed(np.abs(v))[0]
    return np.where(v >= 0, h, 1.0), np.where(v >= 0, 1.0, h)


def fit_blur(cells: Cells, shape: Shape, doubt: float = DOUBT, near: Fit | None = None) -> Fit:
    """Fit a kind of blur by Newton's method, damped, from the likeliest of many beginnings.

    Parameters
    ----------
    cells
        The two frames' spectra.
    shape
        The kind of blur.
    doubt
        Times the noise that may be there.
    near
        The fit of another shape, to begin about; None to begin anywhere.
    """
    s, axes, w2 = scaled(cells, doubt), cells.axes, cells.w**2
    blurs = _BLURS if near is None else _ABOUT[:, None] * near.terms[:3]
    terms = _beginning(s, axes, w2, shape, blurs)
    value, push, stiff = _derived(terms, s, axes, w2, shape)
    damping = 1e-3
    for _ in range(_ROUNDS):
        held = damping * np.diag(stiff) + 1e-9
        new = terms + np.linalg.solve(stiff + np.diag(held), push)
        better, *derived = _derived(new, s, axes, w2, shape)
        if better > value:
            done = better - value < 1e-3
            terms, value = new, better
            push, stiff = derived
            damping = max(damping / 5, 1e-6)
            if done:
                break
        elif damping > 1e5:
            break
        else:
            damping *= 6
    return Fit(terms, stiff, value, shape)


def tile_pushes(
    fit: Fit, cells: Cells, frame: Doubles, reference: Doubles, both: Doubles
) -> Doubles:
    """What each tile adds to the slope of the log likelihood, shape (tiles, 4).

    `frame`, `reference`, `both` are the tiles' own mean squares and products, shape (tiles, cells).
    """
    s = scaled(cells, DOUBT)
    hf, hr, by_terms = _direction(fit.terms, s, cells.axes, cells.w**2, fit.shape)
    pull = s.weight * (1 - 1 / np.maximum(s.towards(hf, hr)[0], 1))
    size = hf**2 + hr**2
    f, r = s.units
    half = (frame / f**2 - reference / r**2) / 2
    aside = both / (f * r) * (hf**2 - hr**2) / size - half * 2 * hf * hr / size
    return np.asarray((2 * aside * pull) @ by_terms)


def _likelihood(q: Doubles, weight: Doubles) -> Doubles:
    over = np.maximum(q, 1)
    return np.asarray(((over - 1 - np.log(over)) * weight).sum(-1))


def _beginning(s: Scaled, axes: Doubles, w2: Doubles, shape: Shape, blurs: Doubles) -> Doubles:
    """The likeliest of these blurs and of what the cells say one by one."""
    tried = np.concatenate([blurs, _told_by_cells(s, axes, w2)])
    v = tried @ axes.T * w2
    h = shape.passed(np.abs(v))[0]
    log_h = np.log(np.maximum(h, 1e-3)) * np.where(v >= 0, 1, -1)
    trust = s.told * (h > 0.15)
    gain = (trust * (s.slope - log_h)).sum(1) / np.maximum(trust.sum(1), 1e-30)
    frame = np.where(v >= 0, h, 1.0) * np.exp(gain[:, None] + s.tilt)
    q = s.towards(frame, np.where(v >= 0, 1.0, h))[0]
    best = int(np.argmax(_likelihood(q, s.weight)))
    return np.append(tried[best], gain[best])


def _told_by_cells(s: Scaled, axes: Doubles, w2: Doubles) -> Doubles:
    """Gaussian blurs by linear least squares on the cells' own ratios, up to three frequencies."""
    found = []
    design = np.concatenate([-axes * w2[:, None] / 2, np.ones((len(w2), 1))], 1)
    for up_to in (0.2, 0.8, 9.0):
        trusted = design * (s.told * (w2 < up_to))[:, None]
        stiff = trusted.T @ design
        stiff += np.diag(stiff[0, 0] * np.array([1e-3, 0.02, 0.02, 0]) + 1e-9)
        found.append(np.linalg.solve(stiff, trusted.T @ s.slope)[:3])
    return np.array(found)


def _derived(
    terms: Doubles, s: Scaled, axes: Doubles, w2: Doubles, shape: Shape
) -> tuple[float, Doubles, Doubles]:
    """Log likelihood, its slope, and its bend with the sign turned and held positive."""
    frame, reference, by_terms = _direction(terms, s, axes, w2, shape)
    q, ahead, aside = s.towards(frame, reference)
    pull = s.weight * (1 - 1 / np.maximum(q, 1))
    bend = pull * 4 * np.maximum(ahead, 0.2 * np.hypot(ahead, aside))
    return (
        float(_likelihood(q, s.weight)),
        by_terms.T @ (2 * pull * aside),
        (by_terms * bend[:, None]).T @ by_terms,
    )


def _direction(
    terms: Doubles, s: Scaled, axes: Doubles, w2: Doubles, shape: Shape
) -> tuple[Doubles, Doubles, Doubles]:
    """Parts of v by cell at unit noise, and its angle's derivative by the terms, (cells, 4)."""
    v = (axes @ terms[:3]) * w2
    h, slope = shape.passed(np.abs(v))
    gain = np.exp(np.clip(terms[3] + s.tilt, -30, 30))
    softer = v >= 0
    frame, reference = np.where(softer, h, 1.0) * gain, np.where(softer, 1.0, h)
    size = frame**2 + reference**2
    by_v = -np.where(softer, reference * slope * gain, frame * slope) / size
    by_gain = -reference * frame / size
    by_terms = np.concatenate([axes * (by_v * w2)[:, None], by_gain[:, None]], 1)
    return frame, reference, by_terms
