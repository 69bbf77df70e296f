"""The camera that is not there speaks PTP, as another's client and the standard's numbers tell.

Numbers are ISO 15740's (events, responses, formats) and CIPA DC-005's (packets), as libgphoto2's
headers list them; the client is libgphoto2's ptp2 driver.
"""

from __future__ import annotations

import os
import socket
import struct
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
import simplejpeg

from mocks.camera import datasets, packets
from mocks.camera.camera import Camera
from mocks.camera.codes import Event, Format, Operation, Response
from mocks.camera.roll import numbered, raw
from tests.pictures import jpeg, portrait


@pytest.fixture
def camera() -> Iterator[Camera]:
    with Camera() as one:
        yield one


@pytest.mark.parametrize(
    ("code", "number"),
    [
        (Event.OBJECT_ADDED, 0x4002),
        (Event.DEVICE_INFO_CHANGED, 0x4008),
        (Event.STORE_FULL, 0x400A),
        (Event.CAPTURE_COMPLETE, 0x400D),
        (Response.OK, 0x2001),
        (Response.INVALID_OBJECT_HANDLE, 0x2009),
        (Response.STORE_FULL, 0x200C),
        (Response.DEVICE_BUSY, 0x2019),
        (Operation.GET_OBJECT_INFO, 0x1008),
        (Operation.GET_OBJECT, 0x1009),
        (Operation.GET_PARTIAL_OBJECT, 0x101B),
        (Format.ASSOCIATION, 0x3001),
        (Format.JPEG, 0x3801),
    ],
)
def test_numbers_are_the_standards(code: int, number: int) -> None:
    assert code == number


def test_strings_and_packets_are_laid_out_as_the_standards_say() -> None:
    # ISO 15740 5.3.4.2: a count with the NUL, then UTF-16; an empty string is one zero.
    assert datasets.string("AB") == b"\x03A\0B\0\0\0"
    assert datasets.string("") == b"\0"
    assert datasets.when(datetime(2026, 5, 14, 9, 3, 7)) == "20260514T090307"
    # CIPA DC-005: length and type come first, and count themselves.
    told = packets.event(Event.OBJECT_ADDED, (7,))
    assert told == struct.pack("<IIHII", 18, 8, 0x4002, 0, 7)


def greet(camera: Camera) -> tuple[socket.socket, socket.socket]:
    """Connect as an initiator does: for commands first, then for events with the number given."""
    commands = socket.create_connection(("127.0.0.1", camera.port), 5)
    hello = bytes(16) + "test\0".encode("utf-16-le") + struct.pack("<I", 0x10000)
    commands.sendall(struct.pack("<II", 8 + len(hello), 1) + hello)
    kind, payload = packets.receive(commands)
    assert kind == 2
    events = socket.create_connection(("127.0.0.1", camera.port), 5)
    events.sendall(struct.pack("<III", 12, 3, *struct.unpack_from("<I", payload)))
    assert packets.receive(events) == (4, b"")
    return commands, events


def test_a_press_is_told_file_by_file_and_then_complete(camera: Camera) -> None:
    commands, events = greet(camera)
    with commands, events:
        handles = camera.press({"DSC_0001.NEF": b"raw", "DSC_0001.JPG": b"jpeg"})
        told = [packets.receive(events) for _ in range(3)]
    assert [struct.unpack_from("<H", payload)[0] for _, payload in told] == [0x4002, 0x4002, 0x400D]
    assert [struct.unpack_from("<I", payload, 6)[0] for _, payload in told[:2]] == handles


def test_whoever_is_refused_is_told_so(camera: Camera) -> None:
    camera.faults.refuse = True
    with socket.create_connection(("127.0.0.1", camera.port), 5) as commands:
        commands.sendall(struct.pack("<II", 8, 1))
        assert packets.receive(commands)[0] == 5


def test_it_listens_on_loopback_alone(camera: Camera) -> None:
    import psutil

    mine = [c for c in psutil.Process().net_connections("inet") if c.laddr.port == camera.port]
    assert {c.laddr.ip for c in mine} == {"127.0.0.1"}


ASKS = """
import sys
from tether.arrivals.camera.device import Device
device = Device()
found = device.open(sys.argv[1], "camera")
print(found.model, found.serial, found.ahead_s)
for file in device.files():
    print(file.folder, file.name, file.size, device.fetch(file.folder, file.name, sys.argv[2]))
device.close()
"""


@pytest.mark.parametrize("without", [frozenset(), frozenset({Operation.GET_PARTIAL_OBJECT})])
def test_the_real_library_understands_it(tmp_path: Path, without: frozenset[Operation]) -> None:
    content = raw(1, 3_000_000)
    with Camera(without=without) as camera:
        camera.card.add("DSC_0001.NEF", content)
        done = subprocess.run(
            [sys.executable, "-c", ASKS, camera.address, str(tmp_path / "got")],
            env={**os.environ, "XDG_CONFIG_HOME": str(tmp_path)},
            capture_output=True, text=True, timeout=30,
        )  # fmt: skip
    model, file = done.stdout.splitlines()
    assert model in ("Studio One KS-0042 0", "Studio One KS-0042 -1", "Studio One KS-0042 1")
    assert file == "/store_00010001/DCIM/100KILNS DSC_0001.NEF 3000000 3000000"
    assert (tmp_path / "got").read_bytes() == content


def test_numbered_pictures_differ_in_bytes_alone() -> None:
    picture = jpeg(portrait())
    one, two = numbered(picture, 1), numbered(picture, 2)
    assert len({picture, one, two}) == 3
    assert len(one) == len(two)
    was, is_now = (simplejpeg.decode_jpeg(data, colorspace="GRAY") for data in (picture, one))
    assert (was == is_now).all()


def test_by_hand_each_enter_is_a_press() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "mocks.camera", "--port", "0"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as running:  # fmt: skip
        assert running.stdin is not None
        assert running.stdout is not None
        there = running.stdout.readline().split("ptpip:127.0.0.1:")[1]
        stand_in = Camera(int(there))  # never switched on: it lends its port to `greet`
        commands, events = greet(stand_in)
        with commands, events:
            running.stdin.write("\n")
            running.stdin.flush()
            told = struct.unpack_from("<H", packets.receive(events)[1])[0]
        assert told == 0x4002
        running.stdin.write("q\n")
        running.stdin.close()
        assert running.wait(10) == 0


def test_a_port_that_is_taken_is_said(camera: Camera) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "mocks.camera", "--port", str(camera.port)],
        capture_output=True, text=True, timeout=20,
    )  # fmt: skip
    assert done.returncode == 1
    assert "no camera can be put at port" in done.stderr
    assert "Traceback" not in done.stderr
