"""One camera is used; of several one is asked for; and a sentence helps where none can be had."""

from __future__ import annotations

import threading
from collections.abc import Sequence

import pytest

from tests.arrivals.camera.tethered import Tethered
from tests.arrivals.inbox import wait_for
from tether.arrivals.camera import choosing, connecting
from tether.arrivals.camera.messages import ANY, Found, Refused, Why
from tether.arrivals.camera.process import Lost

ONE = Found("Kiln K1", "usb:001,004", "1001")
TWIN = Found("Kiln K1", "usb:001,005", "1002")
LONGER = Found("Kiln K1 Mark II", "usb:001,006", "1003")


@pytest.mark.parametrize(
    ("asked", "meant"),
    [
        (ANY, [ONE, TWIN, LONGER]),
        ("usb:001,005", [TWIN]),
        ("1003", [LONGER]),
        ("kiln k1", [ONE, TWIN]),  # the whole name of two, and only part of the third's
        ("mark ii", [LONGER]),
        ("K1", [ONE, TWIN, LONGER]),
        ("Wheel", []),
    ],
)
def test_a_port_a_serial_number_or_a_model_says_which(asked: str, meant: Sequence[Found]) -> None:
    assert choosing.meant(asked, [ONE, TWIN, LONGER]) == meant


class Bus:
    """Cameras on a bus; a stand-in, since the virtual one has no more than one."""

    def __init__(self, *there: Found, why: Why | None = None) -> None:
        self.there = there
        self.why = why
        self.opened: Found | None = None

    def find(self) -> list[Found]:
        return [Found(one.model, one.port) for one in self.there]

    def open(self, found: Found) -> Found:
        if self.why is not None:
            raise Refused(self.why, "said the library")
        (self.opened,) = (one for one in self.there if one.port == found.port)
        return self.opened

    def close(self) -> None:
        self.opened = None


def told(bus: Bus, asked: str = ANY) -> str:
    """What is said at the first try."""
    stop, said = threading.Event(), list[str]()

    def say(line: str) -> None:
        said.append(line)
        stop.set()

    try:
        connecting.connect(bus, asked, say, stop)  # type: ignore[arg-type]
    except Lost:
        return said[0]
    return ""


def test_a_single_camera_is_used() -> None:
    bus = Bus(ONE)
    assert told(bus) == ""
    assert bus.opened == ONE


def test_several_are_listed_with_model_port_and_serial() -> None:
    line = told(Bus(ONE, TWIN))
    assert "2 cameras are there" in line
    for part in ("Kiln K1 on usb:001,004, serial 1001", "usb:001,005, serial 1002", "--camera"):
        assert part in line


def test_one_of_twins_is_told_by_its_serial_number() -> None:
    bus = Bus(ONE, TWIN)
    assert told(bus, "1002") == ""
    assert bus.opened == TWIN


def test_one_that_is_held_is_said_with_what_holds_it_on_either_system() -> None:
    line = told(Bus(ONE, why=Why.HELD))
    assert "another program holds the Kiln K1" in line
    assert "Linux" in line
    assert "macOS" in line


@pytest.mark.parametrize(
    ("why", "part"),
    [(Why.SILENT, "switch it off and on"), (Why.BUSY, "is busy"), (Why.FAILED, "said the library")],
)
def test_one_that_does_not_open_is_said(why: Why, part: str) -> None:
    assert part in told(Bus(ONE, why=why))


@pytest.mark.parametrize(
    ("asked", "port"),
    [
        ("ptpip:studio.local", "ptpip:studio.local"),
        ("PTPIP:10.0.0.7:15741", "ptpip:10.0.0.7:15741"),
    ],
)
def test_an_address_is_a_camera_of_its_own(asked: str, port: str) -> None:
    found = choosing.network(asked)
    assert found is not None
    assert found.port == port
    assert found.network


@pytest.mark.parametrize("asked", [ANY, "usb:001,004", "ptpip:", "Kiln"])
def test_other_words_are_not(asked: str) -> None:
    assert choosing.network(asked) is None


def test_an_address_may_be_a_name(tethered: Tethered) -> None:
    tethered.begin(f"ptpip:localhost:{tethered.camera.port}")
    tethered.until_connected()


@pytest.mark.parametrize("address", ["ptpip:127.0.0.1:1", "ptpip:::", "ptpip:127.0.0.1:x"])
def test_an_address_where_nothing_answers_is_waited_for(tethered: Tethered, address: str) -> None:
    tethered.begin(address)
    assert wait_for(lambda: bool(tethered.lines))
    assert tethered.lines[-1].startswith(f"waiting for camera: nothing answers at {address}")
    assert not tethered.states[-1].there


def test_one_that_refuses_is_waited_for_and_taken_when_it_agrees(tethered: Tethered) -> None:
    tethered.camera.faults.refuse = True
    tethered.begin()
    assert wait_for(lambda: bool(tethered.lines))
    assert "lets nobody in" in tethered.lines[-1]
    assert not tethered.states[-1].there
    tethered.camera.faults.refuse = False
    tethered.until_connected()
