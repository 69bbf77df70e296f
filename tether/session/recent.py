"""What made the last frames of each lens on each camera soft, for faults that repeat."""

from __future__ import annotations

import threading
from collections import defaultdict, deque

from tether.model import Cause, Judgement

KEPT = 8
"""Frames of one lens that are looked back upon."""


class Recent:
    """Causes of the last frames since the watch began; any thread may ask and add."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._causes: defaultdict[tuple[str | None, str | None], deque[Cause | None]] = defaultdict(
            lambda: deque(maxlen=KEPT)
        )

    def add(self, judgement: Judgement) -> None:
        """Remember a whole judgement; a frame that was not measured tells nothing of the lens."""
        if judgement.measurement is not None and judgement.measurement.widest is not None:
            with self._lock:
                key = judgement.camera, judgement.exposure.lens
                self._causes[key].append(judgement.cause)

    def causes(self, lens: str | None, camera: str | None = None) -> tuple[Cause | None, ...]:
        """Causes of the frames before with this lens, oldest first, None for one without."""
        with self._lock:
            return tuple(self._causes.get((camera, lens), ()))
