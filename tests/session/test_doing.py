"""How several folders and cameras are doing is told in one line, and each one's next shot."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tests.session.made import judgement
from tether.arrivals.source import Adjusted, Camera, Watching
from tether.model import CameraSettings, Exposure
from tether.session.doing import Doing
from tether.session.next_shots import NextShots
from tether.session.record import WatchState
from tether.settings import Settings

SLOW = CameraSettings(shutter_s=1 / 125, focal_length_mm=85.0)


def test_a_single_source_is_told_as_it_is() -> None:
    doing = Doing()
    state = doing.folder(Watching(False, "gone"), WatchState())
    assert (state.there, state.line) == (False, "gone")
    state = doing.camera(Camera(True, "connected"), state)
    assert (state.camera_there, state.camera) == (True, "connected")


def test_one_folder_away_is_named_until_all_are_back() -> None:
    doing = Doing()
    state = doing.folder(Watching(False, "gone", of="shelf"), WatchState())
    state = doing.folder(Watching(True, "polling", of="table"), state)
    assert (state.there, state.line) == (False, "shelf: gone")
    state = doing.folder(Watching(True, "back", of="shelf"), state)
    assert (state.there, state.line) == (True, "shelf: back")


def test_cameras_are_told_side_by_side() -> None:
    doing = Doing()
    state = doing.camera(Camera(True, "connected", of="left"), WatchState())
    state = doing.camera(Camera(False, "waiting", of="above"), state)
    assert not state.camera_there
    assert state.camera == "left: connected; above: waiting"


def test_the_concerns_of_each_camera_bear_its_name_and_the_wrong_ones_come_first() -> None:
    shots = NextShots(Settings())
    narrow = replace(SLOW, shutter_s=1 / 250)
    shots.adjusted(Adjusted(narrow, of="left"))
    assert not shots.concerns
    shots.adjusted(Adjusted(SLOW, of="above"))
    ((state, text),) = shots.concerns
    assert state == "wrong"
    assert text.startswith("above: 1/125 s by hand at 85 mm")
    shots.adjusted(Adjusted(SLOW, of="left"))
    assert [text.partition(":")[0] for _, text in shots.concerns] == ["left", "above"]
    shots.adjusted(Adjusted(None, of="above"))
    assert [text.partition(":")[0] for _, text in shots.concerns] == ["left"]


def test_a_frame_tells_of_its_own_camera_alone() -> None:
    shots = NextShots(Settings())
    shots.adjusted(Adjusted(replace(SLOW, focal_length_mm=None), of="left"))
    shots.adjusted(Adjusted(replace(SLOW, focal_length_mm=None), of="above"))
    frame = replace(judgement(Path("bowl"), "bowl"), size=(6000, 4000))
    long = Exposure(focal_length_mm=85.0, pixel_pitch_um=6.0)
    shots.taken(replace(frame, camera="left", exposure=long))
    assert [text.partition(":")[0] for _, text in shots.concerns] == ["left"]
