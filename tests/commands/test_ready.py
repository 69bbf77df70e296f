"""`tether ready` as a process, on a camera that is not there."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from mocks.camera.camera import Camera
from mocks.camera.codes import Operation, Property
from mocks.camera.properties import FocusMetering, shutter
from tether.session.lock import Lock

# The operations of ISO 15740 that read; everything else would change something.
READING = {
    Operation.GET_DEVICE_INFO,
    Operation.OPEN_SESSION,
    Operation.CLOSE_SESSION,
    Operation.GET_STORAGE_IDS,
    Operation.GET_STORAGE_INFO,
    Operation.GET_NUM_OBJECTS,
    Operation.GET_OBJECT_HANDLES,
    Operation.GET_OBJECT_INFO,
    Operation.GET_DEVICE_PROP_DESC,
    Operation.GET_DEVICE_PROP_VALUE,
}


@pytest.fixture
def camera() -> Iterator[Camera]:
    with Camera() as one:
        yield one


def ready(folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "tether", "ready", str(folder), *options]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


def checks(folder: Path, *options: str) -> tuple[int, dict[str, dict[str, Any]]]:
    done = ready(folder, "--json", *options)
    told = [json.loads(line) for line in done.stdout.splitlines()]
    return done.returncode, {one["name"]: one for one in told}


def test_a_camera_that_is_set_well(folder: Path, camera: Camera) -> None:
    status, told = checks(folder, "--camera", camera.address)
    assert status == 0
    assert list(told) == [
        "camera",
        "battery",
        "card",
        "clock",
        "file format",
        "focus mode",
        "focus area",
        "stabiliser",
        "shutter",
        "folder",
        "folder's speed",
        "disk",
        "bell",
    ]
    assert all(set(one) == {"name", "state", "found", "why", "change"} for one in told.values())
    assert told["camera"]["found"].startswith("Studio One")
    assert told["battery"] == {**told["battery"], "state": "good", "found": "80 %", "change": None}
    assert told["card"]["found"] == "room for 2 863 frames (34.4 GB)"  # 32 GiB, 12 MB a frame
    assert told["focus mode"]["found"].endswith("the camera does not tell")
    assert told["stabiliser"]["state"] == "not told"
    assert told["shutter"]["found"] == "1/250 s by hand at 85 mm"
    assert list(folder.iterdir()) == []


def test_what_is_set_badly_is_told_with_what_to_change(folder: Path, camera: Camera) -> None:
    camera.properties[Property.BATTERY_LEVEL] = 12
    camera.properties[Property.EXPOSURE_TIME] = shutter(1 / 60)
    camera.properties[Property.FOCUS_METERING_MODE] = FocusMetering.MULTI_SPOT
    camera.ahead = timedelta(hours=1)
    asked = ("--camera", camera.address, "--subject-depth", "9")
    status, told = checks(folder, *asked)
    assert status == 1
    states = {name: one["state"] for name, one in told.items() if one["change"]}
    assert states == {
        "battery": "wrong",
        "clock": "look",
        "focus area": "look",
        "shutter": "wrong",
        "depth of field": "wrong",
    }
    assert "1.5 m" in told["depth of field"]["found"]
    person = ready(folder, *asked)
    assert person.returncode == 1
    assert "▲ WRONG" in person.stdout
    assert "→ take 1/200 s or shorter, or a tripod" in person.stdout
    assert "file format, stabiliser: the camera does not tell." in person.stdout
    last = person.stdout.splitlines()[-1]
    assert "change: battery, clock, focus area, shutter, depth of field" in last
    # On a tripod the shutter is right, and nearer than that everything is shallower.
    status, told = checks(folder, *asked, "--tripod", "--subject-distance", "1")
    assert told["shutter"]["state"] == "good"
    assert "at 1 m" in told["depth of field"]["found"]


def test_nothing_on_the_camera_is_changed_and_no_shutter_opens(
    folder: Path, camera: Camera
) -> None:
    handle = camera.card.add("DSC_0001.JPG", b"\xff\xd8 a picture \xff\xd9")
    before = {code: camera.properties[code] for code in camera.properties if code != 0x5011}
    assert ready(folder, "--camera", camera.address).returncode == 0
    assert camera.asked
    assert set(camera.asked) <= READING
    assert {code: camera.properties[code] for code in before} == before
    assert camera.card.get(handle) is not None
    assert list(folder.iterdir()) == []


def test_a_camera_that_does_not_answer_is_told_and_the_rest_is_looked_at(folder: Path) -> None:
    status, told = checks(folder, "--camera", "ptpip:127.0.0.1:1")
    assert status == 1
    assert told["camera"]["state"] == "wrong"
    assert "switch the camera on" in told["camera"]["change"]
    assert told["folder"]["state"] == "good"
    assert "battery" not in told


def test_a_card_that_cannot_be_looked_at_is_not_told(folder: Path, camera: Camera) -> None:
    camera.faults.answers[Operation.GET_STORAGE_INFO] = [0x2002] * 9
    status, told = checks(folder, "--camera", camera.address)
    assert status == 0
    assert told["card"]["state"] == "not told"


def test_a_camera_that_tells_nothing(folder: Path) -> None:
    without = frozenset({Operation.GET_DEVICE_PROP_DESC, Operation.GET_DEVICE_PROP_VALUE})
    with Camera(without=without) as camera:
        status, told = checks(folder, "--camera", camera.address)
    assert status == 0
    for name in ("battery", "clock", "focus mode", "focus area", "stabiliser", "shutter"):
        assert told[name]["state"] == "not told"
        assert "the camera does not tell" in told[name]["found"]


def test_without_a_camera_one_line_says_so(folder: Path) -> None:
    done = ready(folder)
    assert done.returncode == 0
    assert done.stdout.startswith("no camera is asked for")
    assert "battery" not in done.stdout
    done = ready(folder, "--json")
    assert "no camera is asked for" in done.stderr
    assert json.loads(done.stdout.splitlines()[0])["name"] == "folder"


def test_a_running_watch_keeps_its_camera(folder: Path, camera: Camera) -> None:
    with Lock(folder):
        status, told = checks(folder, "--camera", camera.address)
    assert status == 0
    assert told["camera"]["state"] == "not told"
    assert "watch runs" in told["camera"]["found"]
    assert camera.asked == []


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--subject-depth", "0"], "subject-depth"),
        (["--subject-distance", "near"], "subject-distance"),
        (["--config", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_usage_errors_cost_nothing(folder: Path, options: list[str], said: str) -> None:
    done = ready(folder, *options)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    done = ready(tmp_path / "nowhere")
    assert done.returncode == 2
    assert "make it first" in done.stderr
    assert not (tmp_path / "nowhere").exists()
