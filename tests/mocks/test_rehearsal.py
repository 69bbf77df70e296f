"""A rehearsal fills a folder as a shoot would."""

from __future__ import annotations

import time
from pathlib import Path
from threading import Event, Timer

import simplejpeg

from mocks.rehearsal import PACE_S, fill
from mocks.shoot import SHOOT
from tether.model import Verdict

QUICK = [shot for shot in SHOOT if shot.setup == "bowl" and shot.verdict is Verdict.SHARP]


def test_default_pace_ends_within_half_a_minute() -> None:
    assert len(SHOOT) * PACE_S < 30


def test_all_frames_and_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "shoot"
    written = fill(folder, pace_s=0.0, shots=QUICK)
    assert [path.name for path in written] == [shot.name for shot in QUICK]
    assert sorted(folder.iterdir()) == sorted(written)
    for path in written:
        simplejpeg.decode_jpeg(path.read_bytes(), strict=True)


def test_keeps_its_pace(tmp_path: Path) -> None:
    begun = time.monotonic()
    fill(tmp_path / "shoot", pace_s=0.6, shots=QUICK[:3])
    assert time.monotonic() - begun >= 1.2


def test_stops_when_told(tmp_path: Path) -> None:
    stop = Event()
    Timer(0.5, stop.set).start()
    begun = time.monotonic()
    written = fill(tmp_path, pace_s=60.0, stop=stop)
    assert len(written) <= 1
    assert time.monotonic() - begun < 15
    assert sorted(tmp_path.iterdir()) == sorted(written)
