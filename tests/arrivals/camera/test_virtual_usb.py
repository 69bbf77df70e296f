"""The library's own virtual USB camera: found on the bus, with a real USB driver's ways."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.arrivals.camera.pressing import ASK
from tests.arrivals.camera.tethered import Tethered, frame
from tests.arrivals.inbox import wait_for
from tether.arrivals.camera.messages import ANY

COMMAND = [sys.executable, "-m", "tests.arrivals.camera.pressing"]
Press = Callable[[], None]


@pytest.fixture
def press(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Press:
    """Plug it in, with one rendered frame that every press takes anew; return its shutter."""
    inside, asked = tmp_path / "virtual", tmp_path / "presses"
    inside.mkdir()
    asked.mkdir()
    (inside / "KILN0001.JPG").write_bytes(frame(1))
    os.utime(inside / "KILN0001.JPG", (1_700_000_000, 1_700_000_000))  # long before the session
    monkeypatch.setenv("VCAMERADIR", str(inside))
    monkeypatch.setenv(ASK, str(asked))
    monkeypatch.setenv("PYTHONPATH", ":".join(path for path in sys.path if path))
    made = iter(range(1000))

    def pressed() -> None:
        (asked / str(next(made))).touch()

    return pressed


def test_it_is_found_and_each_press_is_fetched(tethered: Tethered, press: Press) -> None:
    tethered.begin(ANY, command=COMMAND)
    tethered.until_connected()
    for name in ("GPH_0098.JPG", "GPH_0099.JPG", "GPH_0100.JPG"):
        press()
        assert wait_for(lambda name=name: name in tethered.names), tethered.lines  # type: ignore[misc]
        tethered.holds(name, frame(1))
    assert tethered.names == ["GPH_0098.JPG", "GPH_0099.JPG", "GPH_0100.JPG"]


def test_what_was_on_it_before_is_fetched_when_asked_for(tethered: Tethered, press: Press) -> None:
    tethered.begin("usb:001,001", earlier=True, command=COMMAND)
    tethered.until_here("KILN0001.JPG")
    tethered.holds("KILN0001.JPG", frame(1))


def test_it_is_asked_for_by_part_of_its_model(tethered: Tethered, press: Press) -> None:
    tethered.begin("d750", command=COMMAND)
    tethered.until_connected()


def test_another_one_is_waited_for(tethered: Tethered, press: Press) -> None:
    tethered.begin("no such model", command=COMMAND)
    assert wait_for(lambda: bool(tethered.lines))
    assert (
        "no camera that is called 'no such model' is there, but Nikon DSC D750"
        in (tethered.lines[-1])
    )
    assert not tethered.states[-1].there


def test_with_nothing_on_the_bus_the_sentence_helps(tethered: Tethered) -> None:
    tethered.begin(ANY)
    assert wait_for(lambda: bool(tethered.lines))
    assert tethered.lines[-1].startswith("waiting for camera: none is found: is it on")
