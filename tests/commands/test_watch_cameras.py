"""`tether watch --camera … --camera …` as a process, with two cameras on loopback."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from mocks.camera.camera import Camera
from mocks.camera.codes import Property
from mocks.camera.properties import shutter
from tests.arrivals.camera.tethered import frame
from tests.commands.test_watch import names, next_line, watching
from tests.commands.test_watch_camera import told_of_the_camera
from tests.session.made import until
from tether.session.reader import Reader


@pytest.fixture
def left() -> Iterator[Camera]:
    with Camera(serial="KS-0042") as one:
        yield one


@pytest.fixture
def above() -> Iterator[Camera]:
    with Camera(serial="KS-0042") as one:  # the same to all that anybody can tell
        yield one


def asked(left: Camera, above: Camera) -> tuple[str, ...]:
    return f"--camera=left={left.address}", f"--camera=above={above.address}"


def until_both(folder: Path) -> None:
    both = {"left: connected: Studio One KS-0042", "above: connected: Studio One KS-0042"}
    until(lambda: set(told_of_the_camera(folder).split("; ")) == both, 40)


def whole(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.startswith("tether-record")
    }


def test_the_same_names_from_two_cameras_stay_apart(
    folder: Path, left: Camera, above: Camera
) -> None:
    with watching(folder, *asked(left, above)) as running:
        until_both(folder)
        left.press({"DSC_0001.JPG": frame(1)})
        one = next_line(running)
        above.press({"DSC_0001.JPG": frame(2)})
        two = next_line(running)
        # Of one exposure of the one, and of another exposure of the other.
        left.press({"DSC_0002.NEF": b"raw" * 1000})
        above.press({"DSC_0002.JPG": frame(3)})
        assert {next_line(running)["frame"] for _ in range(2)} == {
            "left/DSC_0002",
            "above/DSC_0002",
        }
    assert (one["frame"], two["frame"]) == ("left/DSC_0001", "above/DSC_0001")
    assert one["file"] == str(folder / "left" / "DSC_0001.JPG")
    assert whole(folder) == {
        "left/DSC_0001.JPG": frame(1),
        "above/DSC_0001.JPG": frame(2),
        "left/DSC_0002.NEF": b"raw" * 1000,
        "above/DSC_0002.JPG": frame(3),
    }
    rows = Reader(folder).rows_since(0)
    assert {row.name: row.camera for row in rows} == {
        "left/DSC_0001": "left",
        "above/DSC_0001": "above",
        "left/DSC_0002": "left",
        "above/DSC_0002": "above",
    }


def test_the_cable_of_one_pulled_the_other_goes_on(
    folder: Path, left: Camera, above: Camera
) -> None:
    with watching(folder, *asked(left, above)) as running:
        until_both(folder)
        left.leave()
        until(lambda: "left: waiting for camera" in told_of_the_camera(folder), 40)
        state = Reader(folder).state()
        assert not state.camera_there
        assert "above: connected" in state.camera
        above.press({"DSC_0001.JPG": frame(1)})
        assert next_line(running)["frame"] == "above/DSC_0001"
        left.card.add("DSC_0001.JPG", frame(2))
        left.come()
        assert next_line(running)["frame"] == "left/DSC_0001"
        until_both(folder)


def test_one_that_hangs_delays_nothing_of_the_other(
    folder: Path, left: Camera, above: Camera
) -> None:
    with watching(folder, *asked(left, above)) as running:
        until_both(folder)
        left.faults.silent = True
        left.press({"DSC_0001.JPG": frame(1)})
        for number in range(1, 4):
            above.press({f"DSC_000{number}.JPG": frame(10 + number)})
            line = next_line(running)
            assert line["frame"] == f"above/DSC_000{number}"
        assert "left/DSC_0001" not in names(folder)


def test_killed_and_started_again_each_fetches_what_is_its_own(
    folder: Path, left: Camera, above: Camera
) -> None:
    now = datetime.now()
    with watching(folder, *asked(left, above)) as running:
        until_both(folder)
        left.press({"DSC_0001.JPG": frame(1)}, now)
        assert next_line(running)["frame"] == "left/DSC_0001"
        running.send_signal(signal.SIGKILL)
        running.wait()
    # In name, size and time the same as what the other one has given.
    assert len(frame(1)) == len(frame(5))
    above.card.add("DSC_0001.JPG", frame(5), taken=now)
    left.card.add("DSC_0002.JPG", frame(2))
    with watching(folder, *asked(left, above)) as running:
        lines = {next_line(running)["frame"] for _ in range(2)}
        assert lines == {"above/DSC_0001", "left/DSC_0002"}
        until_both(folder)
    assert names(folder) == ["above/DSC_0001", "left/DSC_0001", "left/DSC_0002"]
    assert (folder / "above" / "DSC_0001.JPG").read_bytes() == frame(5)


def test_before_the_shot_says_of_which_camera(folder: Path, left: Camera, above: Camera) -> None:
    with watching(folder, *asked(left, above)):
        until_both(folder)
        above.set(Property.EXPOSURE_TIME, shutter(1 / 30))
        until(lambda: bool(Reader(folder).state().before), 20)
        (_, text), *_ = Reader(folder).state().before
        assert text.startswith("above: 1/30 s")


def test_what_cannot_be_asked_for_is_refused_and_costs_nothing(folder: Path) -> None:
    for words in (
        ["--camera", "1", "--camera", "1"],
        ["--camera=../x=1"],
        ["--camera", "--camera"],
    ):
        done = subprocess.run(
            [sys.executable, "-m", "tether", "watch", "--headless", *words, "--", str(folder)],
            capture_output=True,
            text=True,
        )
        assert done.returncode == 2
        assert "Traceback" not in done.stderr
    assert not list(folder.iterdir())
