"""From traits to widths: small networks whose weights `python -m calibration` finds.

Two stages. The first says the edge width in each of the directions, with its error, from what
the area shows in that direction, across it, beside it and all round, and as a whole; it does not
know which direction is which, so what it has learnt in one it knows in all. The second looks
along the widest and the narrowest direction and says by how much the first is off, how far it
may be off, and whether a movement made the difference. Each stage is a few networks, each
trained without some of the pictures, whose answers are averaged.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from tether.sharpness.traits import Traits

Floats = NDArray[np.float32]

LEAK = np.float32(0.01)
_HELD = 5.0  # standard deviations: traits farther out than any in the calibration count as this
_BESIDE = 2  # directions


@dataclass(frozen=True, slots=True)
class Stage:
    """Networks of one stage.

    `centre` and `scale` standardise the inputs; `layers` holds weights and offsets, of shapes
    (networks, inputs, outputs) and (networks, 1, outputs). Between layers what is below 0 is
    reduced to a hundredth.
    """

    centre: Floats
    scale: Floats
    layers: tuple[tuple[Floats, Floats], ...]

    def __call__(self, inputs: Floats) -> Floats:
        """Answers of every network to rows of inputs; shape (networks, rows, outputs)."""
        values = standardised(inputs, self.centre, self.scale)[None]
        for number, (weights, offsets) in enumerate(self.layers):
            values = values @ weights + offsets
            if number < len(self.layers) - 1:
                values = np.maximum(values, LEAK * values)
        return np.asarray(values, np.float32)


@dataclass(frozen=True, slots=True)
class Calibration:
    """What `python -m calibration` found.

    `points` holds the 2.5 % and 97.5 % points of the standardised error of ln width, for the
    widest and for the narrowest direction; shape (2, 2).
    """

    widths: Stage
    errors: Stage
    points: NDArray[np.float64]


def standardised(inputs: Floats, centre: Floats, scale: Floats) -> Floats:
    """Inputs in standard deviations from their mean over the calibration, held to 5."""
    return np.asarray(np.clip((inputs - centre) / scale, -_HELD, _HELD), np.float32)


def by_direction(shown: Traits) -> Floats:
    """Inputs of the first stage, one row a direction: along, across, beside, all round, overall."""
    along = shown.directional
    across = np.roll(along, -len(along) // 2, 0)
    beside = (np.roll(along, _BESIDE, 0) + np.roll(along, -_BESIDE, 0)) / 2
    overall = np.broadcast_to(shown.overall, (len(along), len(shown.overall)))
    mean = along.mean(0, keepdims=True)
    rows = [along, across - along, mean - along, beside - along, overall]
    return np.concatenate(rows, 1).astype(np.float32)


@cache
def calibration() -> Calibration:
    """The weights that came with the program."""
    data = resources.files("tether.sharpness").joinpath("calibrated.npz").read_bytes()
    with np.load(BytesIO(data)) as stored:
        return Calibration(_stage(stored, "widths"), _stage(stored, "errors"), stored["points"])


def _stage(stored: np.lib.npyio.NpzFile, name: str) -> Stage:
    count = sum(key.startswith(f"{name}.weights") for key in stored)
    layers = tuple(
        (
            stored[f"{name}.weights{n}"].astype(np.float32),
            stored[f"{name}.offsets{n}"].astype(np.float32),
        )
        for n in range(count)
    )
    return Stage(stored[f"{name}.centre"], stored[f"{name}.scale"], layers)
