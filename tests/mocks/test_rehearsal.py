"""A rehearsal fills a folder as a shoot would."""

from __future__ import annotations

import time
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from threading import Event, Timer

import simplejpeg

from mocks.play import MAKER, PLAY, SHOT_LIST, Opening, Take
from mocks.rehearsal import PACE_S, fill
from mocks.shoot import SHOOT
from tether.frame import slate
from tether.model import Verdict

TAKES = [one for one in PLAY if isinstance(one, Take)]
QUICK = [one for one in TAKES if one.setup is not MAKER and one.shot.verdict is Verdict.SHARP]


def test_default_pace_ends_within_half_a_minute() -> None:
    assert len(PLAY) * PACE_S < 30


def test_every_frame_of_the_shoot_is_played_once() -> None:
    assert sorted(one.name for one in TAKES) == sorted(shot.name for shot in SHOOT)


def test_one_setup_is_left_uncovered_and_covered_in_the_end() -> None:
    has = dict.fromkeys(SHOT_LIST, 0)
    left: set[str] = set()
    for one, after in pairwise([*TAKES, TAKES[0]]):
        has[one.setup] += one.shot.verdict is Verdict.SHARP
        if after.setup is not one.setup and has[one.setup] < one.setup.needed:
            left.add(one.setup.name)
    assert left == {"Raw foot and glaze"}
    assert all(has[one] >= one.needed for one in SHOT_LIST)


def test_every_setup_is_opened_by_a_slate_that_can_be_read() -> None:
    now = None
    for one in PLAY:
        if isinstance(one, Opening):
            now = one.setup
            luma = simplejpeg.decode_jpeg(one.file(datetime.now()), colorspace="gray")[:, :, 0]
            found = slate.read(luma)
            assert found is not None
            assert found.code == now.code
        assert one.setup is now


def test_all_frames_and_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "shoot"
    written = fill(folder, pace_s=0.0, play=QUICK)
    assert [path.name for path in written] == [one.name for one in QUICK]
    assert sorted(folder.iterdir()) == sorted(written)
    for path in written:
        simplejpeg.decode_jpeg(path.read_bytes(), strict=True)


def test_keeps_its_pace(tmp_path: Path) -> None:
    begun = time.monotonic()
    fill(tmp_path / "shoot", pace_s=0.6, play=QUICK[:3])
    assert time.monotonic() - begun >= 1.2


def test_stops_when_told(tmp_path: Path) -> None:
    stop = Event()
    Timer(0.5, stop.set).start()
    begun = time.monotonic()
    written = fill(tmp_path, pace_s=60.0, stop=stop)
    assert len(written) <= 1
    assert time.monotonic() - begun < 15
    assert sorted(tmp_path.iterdir()) == sorted(written)
