"""A rehearsal fills a folder as a shoot would."""

from __future__ import annotations

import time
from itertools import pairwise
from pathlib import Path
from threading import Event, Timer

import simplejpeg

from mocks.rehearsal import MAKER, PACE_S, PLAY, SHOT_LIST, fill
from mocks.shoot import SHOOT
from tether.model import Verdict

QUICK = [one for one in PLAY if one[0] is not MAKER and one[1].verdict is Verdict.SHARP]


def test_default_pace_ends_within_half_a_minute() -> None:
    assert len(PLAY) * PACE_S < 30


def test_every_frame_of_the_shoot_is_played_once() -> None:
    assert sorted(shot.name for _, shot in PLAY) == sorted(shot.name for shot in SHOOT)


def test_one_setup_is_left_uncovered_and_covered_in_the_end() -> None:
    has = dict.fromkeys(SHOT_LIST, 0)
    left: set[str] = set()
    for (setup, shot), (after, _) in pairwise([*PLAY, PLAY[0]]):
        has[setup] += shot.verdict is Verdict.SHARP
        if after is not setup and has[setup] < setup.needed:
            left.add(setup.name)
    assert left == {"Raw foot and glaze"}
    assert all(has[one] >= one.needed for one in SHOT_LIST)


def test_setups_are_turned_to_before_their_frames(tmp_path: Path) -> None:
    told: list[tuple[str, int]] = []
    fill(
        tmp_path,
        pace_s=0.0,
        play=QUICK[2:5],
        turn=lambda setup: told.append((setup.name, len(list(tmp_path.iterdir())))),
    )
    assert told == [("Tea bowl, label", 0), ("Raw foot and glaze", 1)]


def test_all_frames_and_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "shoot"
    written = fill(folder, pace_s=0.0, play=QUICK)
    assert [path.name for path in written] == [shot.name for _, shot in QUICK]
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
