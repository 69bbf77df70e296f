"""Photographs on which nothing of `tether.sharpness.relative` was tuned, whole."""

from __future__ import annotations

from pathlib import PurePosixPath

from calibration.photographs import PHOTOGRAPHS, Photograph
from tests.benchmarks.scored import FETCHED

_NAMES = (
    "aloeL.jpg",
    "board.jpg",
    "chicky_512.png",
    "graf1.png",
    "messi5.jpg",
    "scenetext01.jpg",
    "scenetext04.jpg",
    "scenetext05.jpg",
    "scenetext_segmented_word02.jpg",
    "scenetext_segmented_word04.jpg",
    "castle-maintenon.jpg",
    "citrus-fruits.jpg",
    "european-honey-bee.jpg",
)

_KNOWN = {PurePosixPath(p.name).name: p for p in (*PHOTOGRAPHS, *FETCHED)}

UNSEEN = tuple(
    Photograph(one.package, one.name, one.digest) for one in (_KNOWN[name] for name in _NAMES)
)
