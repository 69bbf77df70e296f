"""The shoot as it is rehearsed: by a shot list, each setup opened by its slate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np

from mocks import sensor
from mocks.scenes import bowl, compose, maker
from mocks.shoot import SHOOT, Shot, render, stored_area
from mocks.slate import Slate, in_scene
from mocks.tags import Tags, tagged
from tether.model import Setup

LABEL = Setup("Tea bowl, label", "BOWL-01", 3, "product", notes="the label to the front")
FOOT = Setup("Raw foot and glaze", "BOWL-02", 1, "product", notes="by hand, from the side")
MAKER = Setup("The maker", "MAKER", 3, "portrait", notes="eyes to the lamp")
SHOT_LIST = (LABEL, FOOT, MAKER)

_SHOTS = {Path(shot.name).stem: shot for shot in SHOOT}
_CODE = 0.16  # of the frame's width


@dataclass(frozen=True, slots=True)
class Take:
    """A frame of the shoot, and the setup that it is shot for."""

    setup: Setup
    shot: Shot

    @property
    def name(self) -> str:
        """The file's name."""
        return self.shot.name

    def file(self, when: datetime) -> bytes:
        """Return its JPEG file, taken then."""
        return render(self.shot, when)


@dataclass(frozen=True, slots=True)
class Opening:
    """A setup's slate, held where `first` is shot next."""

    setup: Setup
    number: int
    first: Shot

    @property
    def name(self) -> str:
        """The file's name."""
        return f"slate-{self.number:04}.jpg"

    def file(self, when: datetime) -> bytes:
        """Return its JPEG file, taken then."""
        scene = bowl() if self.first.setup == "bowl" else maker()
        light = compose(in_scene(scene, Slate(self.setup.code, share=_CODE)), 0.0)
        exposure = self.first.exposure
        noise = np.random.default_rng(self.number)
        picture = sensor.expose(light, exposure.iso or 100, noise)
        area = stored_area(self.first, scene)
        tags = Tags(exposure, picture.shape[1], picture.shape[0], when, area, 1)
        return tagged(sensor.jpeg(picture), tags)


Frame = Take | Opening


def _played(setup: Setup, number: int, *names: str) -> tuple[Frame, ...]:
    shots = [_SHOTS[name] for name in names]
    return (Opening(setup, number, shots[0]), *(Take(setup, shot) for shot in shots))


# The foot is left with three misses and is a reshoot until somebody comes back to it.
PLAY: tuple[Frame, ...] = (
    *_played(LABEL, 1, "bowl-0001", "bowl-0002", "bowl-0003", "bowl-0004"),
    *_played(FOOT, 2, "bowl-0005", "bowl-0006", "bowl-0007"),
    *_played(MAKER, 3, *(f"maker-{number:04}" for number in range(1, 8))),
    *_played(FOOT, 4, "bowl-0009", "bowl-0008", "bowl-0010"),
)
