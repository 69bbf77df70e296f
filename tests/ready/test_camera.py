"""What is made of the camera's own state. Thresholds: common practice, no source.

The words are libgphoto2's own for several makers (2.5.34, the text in its driver `ptp2`).
"""

from __future__ import annotations

import pytest

from tether.model import CameraSettings
from tether.ready import camera
from tether.verdict.checked import State

NOW = 1_800_000_000.0


@pytest.mark.parametrize(
    ("charge", "state"),
    [(100.0, State.GOOD), (50.0, State.GOOD), (49.0, State.LOOK), (19.0, State.WRONG)],
)
def test_battery(charge: float, state: State) -> None:
    found = camera.battery(CameraSettings(battery_pct=charge))
    assert found.state is state
    assert bool(found.change) is (state is not State.GOOD)


def test_a_battery_told_in_words_is_repeated() -> None:
    found = camera.battery(CameraSettings(battery_said="Low"))
    assert (found.state, found.found) == (State.UNTOLD, "Low")


@pytest.mark.parametrize(
    ("frames", "free", "state", "said"),
    [
        (2863, 34_000_000_000, State.GOOD, "2 863 frames (34 GB)"),
        (None, 8_000_000_000, State.LOOK, "200 frames"),
        (20, None, State.WRONG, "20 frames"),
        (0, 1_000_000, State.WRONG, "0 frames"),
        (None, None, State.UNTOLD, "does not tell"),
    ],
)
def test_card(frames: int | None, free: int | None, state: State, said: str) -> None:
    found = camera.card(CameraSettings(free_bytes=free, free_frames=frames), 40e6)
    assert found.state is state
    assert said in found.found


@pytest.mark.parametrize(
    ("off", "state", "said", "change"),
    [
        (3.0, State.GOOD, "agrees", ""),
        (-59.0, State.GOOD, "agrees", ""),
        (3600.0, State.LOOK, "1 h ahead", "time zone"),
        (-7200.0, State.LOOK, "2 h behind", "time zone"),
        (410.0, State.LOOK, "7 min ahead", "set its clock"),
        (-400_000_400.0, State.LOOK, "4630 days behind", "set its clock"),
    ],
)
def test_clock(off: float, state: State, said: str, change: str) -> None:
    found = camera.clock(CameraSettings(clock=NOW + off), NOW)
    assert found.state is state
    assert said in found.found
    assert change in found.change


@pytest.mark.parametrize(
    ("said", "state"),
    [
        ("RAW + Large Fine JPEG", State.GOOD),
        ("RAW & JPEG", State.GOOD),
        ("RAW + L", State.GOOD),
        ("cRAW + S1", State.GOOD),
        ("L", State.GOOD),
        ("NEF+Fine*", State.GOOD),
        ("JPEG Normal*", State.GOOD),
        ("X.Fine", State.GOOD),
        ("TIFF (RGB)", State.GOOD),
        ("RAW", State.WRONG),
        ("RAW Only", State.WRONG),
        ("NEF (Raw)", State.WRONG),
        ("cRAW", State.WRONG),
        ("RAW + cRAW", State.WRONG),
        ("RAW+HEIF (X.Fine)", State.WRONG),
        ("HEIF Only", State.WRONG),
        ("", State.UNTOLD),
        ("something", State.UNTOLD),
    ],
)
def test_file_format(said: str, state: State) -> None:
    assert camera.file_format(CameraSettings(file_format=said)).state is state


@pytest.mark.parametrize(
    ("said", "state"),
    [
        ("Centre-spot", State.GOOD),
        ("Center", State.GOOD),
        ("Single Area", State.GOOD),
        ("Spot-area AF", State.GOOD),
        ("LiveSpotAF", State.GOOD),
        ("Flexible Spot: M", State.GOOD),
        ("Expand Flexible Spot", State.GOOD),
        ("Multi-spot", State.LOOK),
        ("Auto-area AF", State.LOOK),
        ("Wide", State.LOOK),
        ("Zone", State.LOOK),
        ("Dynamic-area AF (25 points)", State.LOOK),
        ("Face-priority AF", State.LOOK),
        ("Lock-on AF: Wide", State.LOOK),
        ("LiveFace", State.LOOK),
        ("Quick", State.UNTOLD),
        ("", State.UNTOLD),
    ],
)
def test_focus_area(said: str, state: State) -> None:
    assert camera.focus_area(CameraSettings(focus_area=said)).state is state
