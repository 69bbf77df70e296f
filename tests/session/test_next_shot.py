"""What would make the next frame soft, as camera, settings and frames come together.

The rule of the shutter, 1/170 s at 85 mm by hand on full frame: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.session.made import judgement
from tether.model import CameraSettings, Exposure, FocusMode, Judgement
from tether.session.next_shot import NextShot, shot
from tether.session.reader import Reader
from tether.session.record import Record, WatchState
from tether.settings import Settings

SLOW = CameraSettings(shutter_s=1 / 125, focal_length_mm=85.0)


def set_to(**camera: object) -> Settings:
    own = Settings().camera.model_copy(update=camera)
    return Settings().model_copy(update={"camera": own})


def frame(folder: Path, exposure: Exposure, after_s: float = 0) -> Judgement:
    made = judgement(folder, "bowl")
    arrived = made.arrived + timedelta(seconds=after_s)
    return replace(made, exposure=exposure, size=(6000, 4000), arrived=arrived)


def test_a_concern_is_there_as_long_as_it_holds() -> None:
    one = NextShot(Settings())
    one.adjusted(SLOW)
    ((state, text),) = one.concerns
    assert state == "wrong"
    assert "1/125 s by hand at 85 mm" in text
    one.adjusted(replace(SLOW, shutter_s=1 / 250))
    assert not one.concerns
    one.adjusted(SLOW)
    one.adjusted(None)
    assert not one.concerns


def test_what_holds_the_camera_comes_from_the_settings() -> None:
    one = NextShot(set_to(support="tripod"))
    one.adjusted(replace(SLOW, focus_mode=FocusMode.CONTINUOUS))
    ((state, text),) = one.concerns
    assert state == "look"
    assert "on a tripod" in text


def test_the_last_frame_tells_what_the_camera_does_not(folder: Path) -> None:
    one = NextShot(set_to(subject_depth_cm=30.0))
    one.adjusted(CameraSettings(shutter_s=1 / 125, f_number=4.0))
    assert not one.concerns
    taken = Exposure(focal_length_mm=85.0, pixel_pitch_um=6.0, focus_distance_m=2.5)
    one.taken(frame(folder, taken))
    told = [text for _, text in one.concerns]
    assert [text.partition(" ")[0] for text in told] == ["1/125", "f/4"]
    # An older frame that is judged later tells nothing of the next.
    one.taken(frame(folder, Exposure(), after_s=-60))
    assert len(one.concerns) == 2


def test_what_is_set_by_hand_comes_first(folder: Path) -> None:
    last = frame(folder, Exposure(pixel_pitch_um=4.0, focus_distance_m=9.0))
    camera = CameraSettings(focus_distance_m=3.0)
    assert shot(camera, Settings(), last).subject_distance_mm == 3000.0
    # 6000 px of 4 µm.
    assert shot(camera, Settings(), last).sensor_width_mm == pytest.approx(24.0)
    own = set_to(subject_distance_m=1.5, sensor_width_mm=36.0, pixel_pitch_um=6.0)
    found = shot(camera, own, last)
    assert found.subject_distance_mm == 1500.0
    assert (found.sensor_width_mm, found.pixel_pitch_um) == (36.0, 6.0)


def test_it_goes_through_the_record(folder: Path) -> None:
    record = Record(folder)
    told = WatchState(before=(("wrong", "1/60 s"), ("look", "AF-C")))
    record.tell(told)
    assert Reader(folder).state() == told
    record.close()
