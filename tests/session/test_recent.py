"""Faults that repeat are remembered by lens, and only so many."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from tether.model import Cause, EdgeWidth, Exposure, Judgement, Measurement, Verdict
from tether.session.recent import KEPT, Recent

_WIDTH = EdgeWidth(6.0, 5.0, 7.0)
_FRONT = Judgement(
    file=Path("bowl-0001.jpg"),
    frame="bowl-0001",
    arrived=datetime.now().astimezone(),
    judged=datetime.now().astimezone(),
    latency_ms=0.0,
    verdict=Verdict.SOFT,
    cause=Cause.FRONT_FOCUS,
    measurement=Measurement(_WIDTH, _WIDTH, None, None, 0.0, 100, 0.0),
    exposure=Exposure(lens="85mm f/1.8"),
)


def test_the_causes_of_one_lens_are_kept_apart_from_another_s() -> None:
    recent = Recent()
    recent.add(_FRONT)
    recent.add(replace(_FRONT, cause=None, exposure=Exposure(lens="35mm f/1.8")))
    assert recent.causes("85mm f/1.8") == (Cause.FRONT_FOCUS,)
    assert recent.causes("35mm f/1.8") == (None,)
    assert recent.causes("50mm") == ()


def test_the_causes_of_one_camera_are_kept_apart_from_another_s() -> None:
    recent = Recent()
    recent.add(replace(_FRONT, camera="left"))
    assert recent.causes("85mm f/1.8", "left") == (Cause.FRONT_FOCUS,)
    assert recent.causes("85mm f/1.8", "above") == recent.causes("85mm f/1.8") == ()


def test_only_the_last_frames_count_and_unmeasured_ones_never() -> None:
    recent = Recent()
    recent.add(replace(_FRONT, measurement=None))
    for _ in range(KEPT + 3):
        recent.add(_FRONT)
    assert len(recent.causes("85mm f/1.8")) == KEPT
