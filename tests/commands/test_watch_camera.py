"""`tether watch --camera` as a process: from shutter to printed line, killed, and started again."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from mocks.camera.camera import Camera
from tests.arrivals.camera.tethered import frame
from tests.arrivals.inbox import wait_for
from tests.commands.test_watch import names, next_line, watching
from tests.session.made import until
from tether.session.reader import Reader
from tether.session.schema import RecordError


@pytest.fixture
def camera() -> Iterator[Camera]:
    with Camera() as one:
        yield one


def told_of_the_camera(folder: Path) -> str:
    reader = Reader(folder)
    try:
        return reader.state().camera
    except RecordError:
        return ""
    finally:
        reader.close()


def until_told(folder: Path, line: str) -> None:
    assert wait_for(lambda: told_of_the_camera(folder).startswith(line), 40), (
        f"{told_of_the_camera(folder)!r} is told, not {line!r}"
    )


def cameras_process(of: int) -> psutil.Process:
    (found,) = (
        one
        for one in psutil.Process(of).children()
        if any("camera.serving" in part for part in one.cmdline())
    )
    return found


def test_from_the_shutter_to_the_line(folder: Path, camera: Camera) -> None:
    with watching(folder, "--camera", camera.address) as running:
        until_told(folder, "connected: Studio One KS-0042")
        camera.press({"DSC_0001.JPG": frame(1)})
        line = next_line(running)
        assert (line["frame"], line["verdict"]) == ("DSC_0001", "sharp")
        assert Path(line["file"]) == folder / "DSC_0001.JPG"
        camera.leave()
        until_told(folder, "waiting for camera: nothing answers")
        own = cameras_process(running.pid)
        running.send_signal(signal.SIGTERM)
        assert running.wait(10) == 0
        assert not own.is_running()
    assert told_of_the_camera(folder) == ""


def test_killed_in_mid_transfer_the_next_start_fetches_and_judges_it_once(
    folder: Path, camera: Camera
) -> None:
    with watching(folder, "--camera", camera.address) as running:
        until_told(folder, "connected")
        camera.press({"DSC_0001.JPG": frame(1)})
        assert next_line(running)["frame"] == "DSC_0001"
        camera.faults.pace = 50_000
        camera.press({"DSC_0002.JPG": frame(2)})
        until(lambda: "DSC_0002" in told_of_the_camera(folder))
        own = cameras_process(running.pid)
        running.send_signal(signal.SIGKILL)
        running.wait()
        # It would keep the camera from whoever comes next.
        until(lambda: not own.is_running() or own.status() == psutil.STATUS_ZOMBIE)
    camera.faults.pace = 0
    camera.card.add("DSC_0003.JPG", frame(3))
    with watching(folder, "--camera", camera.address) as running:
        assert {next_line(running)["frame"] for _ in range(2)} == {"DSC_0002", "DSC_0003"}
        until(lambda: names(folder) == ["DSC_0001", "DSC_0002", "DSC_0003"])
    for number in (1, 2, 3):
        assert (folder / f"DSC_000{number}.JPG").read_bytes() == frame(number)
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


def test_without_a_name_any_camera_is_meant_and_the_folder_works_without_one(
    folder: Path,
) -> None:
    with watching(folder, "--camera") as running:
        until_told(folder, "waiting for camera: none is")
        (folder / "bowl-0001.jpg").write_bytes(frame(1))
        assert next_line(running)["frame"] == "bowl-0001"


def test_nothing_is_left_in_the_home_but_in_a_folder_of_our_own(
    folder: Path, camera: Camera
) -> None:
    with watching(folder, "--camera", camera.address) as running:
        until_told(folder, "connected")
        running.send_signal(signal.SIGTERM)
        running.wait(10)
    home = Path(os.environ["HOME"])
    left = {path.relative_to(home) for path in home.rglob("*") if path.is_file()}
    assert left == {Path(".local/share/tether/camera/gphoto/settings")}
    assert not list(Path(os.environ["XDG_CONFIG_HOME"]).iterdir())
