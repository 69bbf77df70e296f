"""Whatever happens between shutter and folder, every frame arrives in the end, whole and once."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable

import pytest

from mocks.camera.camera import Camera
from mocks.camera.codes import Operation, Response
from tests.arrivals.camera.tethered import Tethered, frame, processes_of
from tests.arrivals.inbox import wait_for
from tether.arrivals.camera import naming, process, taking
from tether.arrivals.camera.ledger import Dealt
from tether.arrivals.camera.messages import OnCard
from tether.session.fetched import Fetched

BUSY, UNSUPPORTED = Response.DEVICE_BUSY, Response.OPERATION_NOT_SUPPORTED


def cut(camera: Camera) -> None:
    camera.faults.cut_after = 20_000


def stall(camera: Camera) -> None:
    # The library gives up after 2.5 s and stays deaf until it is connected anew.
    camera.faults.stall_after, camera.faults.stall_s = 1, 3.0


def busy(camera: Camera) -> None:
    for operation in (Operation.GET_OBJECT, Operation.GET_PARTIAL_OBJECT):
        camera.faults.answers[operation] = [BUSY] * 3


def fails(camera: Camera) -> None:
    camera.faults.answers[Operation.GET_OBJECT] = [Response.GENERAL_ERROR]
    camera.faults.answers[Operation.GET_PARTIAL_OBJECT] = [Response.GENERAL_ERROR]


def undescribed(camera: Camera) -> None:
    camera.faults.answers[Operation.GET_OBJECT_INFO] = [BUSY]


def no_device_info(camera: Camera) -> None:
    camera.faults.answers[Operation.GET_DEVICE_INFO] = [BUSY] * 2
    camera.drop()


def reset(camera: Camera) -> None:
    camera.faults.stall_after, camera.faults.stall_s = 1, 0.5
    threading.Timer(0.2, lambda: camera.drop(reset=True)).start()


@pytest.mark.parametrize("fault", [cut, stall, busy, fails, undescribed, no_device_info, reset])
def test_a_fault_costs_no_frame(
    tethered: Tethered, camera: Camera, fault: Callable[[Camera], None]
) -> None:
    tethered.begin()
    tethered.until_connected()
    fault(camera)
    camera.press({"DSC_0001.JPG": frame(1)})
    camera.press({"DSC_0002.JPG": frame(2)})
    tethered.until_here("DSC_0001.JPG", "DSC_0002.JPG")
    tethered.holds("DSC_0001.JPG", frame(1))
    tethered.holds("DSC_0002.JPG", frame(2))


def test_frames_taken_while_the_cable_is_out_are_caught_up(
    tethered: Tethered, camera: Camera
) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.leave()
    assert wait_for(lambda: tethered.lines[-1].startswith("waiting for camera"))
    assert not tethered.states[-1].there
    for number in range(1, 8):
        camera.card.add(f"DSC_{number:04}.JPG", frame(number))
    camera.come()
    tethered.until_here(*(f"DSC_{number:04}.JPG" for number in range(1, 8)))
    assert any("catching up 3 of 7" in line for line in tethered.lines)


def test_an_event_that_was_lost_is_made_good_at_the_next_connection(
    tethered: Tethered, camera: Camera
) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.card.add("DSC_0001.JPG", frame(1))  # and nobody was told
    camera.drop()
    tethered.until_here("DSC_0001.JPG")


def test_events_that_never_come_are_noticed_by_the_card_that_fills(
    tethered: Tethered, camera: Camera, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(taking, "PROBE_S", 0.2)
    tethered.begin()
    tethered.until_connected()
    camera.faults.mute = True
    time.sleep(0.5)  # it has looked how full the card is
    camera.press({"DSC_0001.JPG": frame(1)})
    tethered.until_here("DSC_0001.JPG")


def test_a_link_that_dies_without_a_sign_is_noticed(
    tethered: Tethered, camera: Camera, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(taking, "PROBE_S", 0.2)
    tethered.begin()
    tethered.until_connected()
    camera.faults.silent = True
    camera.card.add("DSC_0001.JPG", frame(1))
    assert wait_for(lambda: not tethered.states[-1].there)
    camera.faults.silent = False
    camera.drop()
    tethered.until_here("DSC_0001.JPG")


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGSTOP])
def test_the_cameras_process_may_die_or_hang(
    tethered: Tethered, camera: Camera, how: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(process, "STALL_S", 0.7)
    tethered.begin()
    tethered.until_connected()
    camera.faults.pace = 200_000
    camera.press({"DSC_0001.JPG": frame(1) + bytes(200_000)})
    assert wait_for(lambda: any(name.endswith(".part") for name in tethered.names))
    (old,) = processes_of(tethered.source)
    os.kill(old, how)
    camera.faults.pace = 0
    tethered.until_here("DSC_0001.JPG")
    tethered.holds("DSC_0001.JPG", frame(1) + bytes(200_000))
    assert wait_for(lambda: old not in processes_of(tethered.source))


def test_stopped_in_mid_transfer_the_next_start_fetches_it_whole(
    tethered: Tethered, camera: Camera
) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.faults.pace = 20_000
    camera.press({"DSC_0001.JPG": frame(1)})
    assert wait_for(lambda: any(name.endswith(".part") for name in tethered.names))
    begun = time.monotonic()
    tethered.end()
    assert time.monotonic() - begun < 4
    assert not processes_of(tethered.source)
    camera.faults.pace = 0
    camera.drop()
    tethered.begin()
    tethered.until_here("DSC_0001.JPG")
    tethered.holds("DSC_0001.JPG", frame(1))


@pytest.mark.parametrize("had", ["its part", "its part and its name", "its part and a stranger"])
def test_killed_between_two_steps_a_whole_file_is_not_fetched_twice(
    tethered: Tethered, camera: Camera, had: str
) -> None:
    """Every state that a kill can leave once all bytes are here and the ledger says so."""
    tethered.begin()
    tethered.until_connected()
    tethered.end()
    handle = camera.card.add("DSC_0001.JPG", frame(1))
    thing = camera.card.get(handle)
    assert thing is not None
    on_card = OnCard(
        "/store_00010001/DCIM/100KILNS", thing.name, len(frame(1)), int(thing.taken.timestamp())
    )
    key = "Studio One KS-0042"
    ledger = Fetched(tethered.folder)
    ledger.note([Dealt(key, on_card, tethered.folder.relative_to(tethered.folder) / thing.name)])
    ledger.close()
    whole = naming.part(tethered.folder, key, on_card)
    whole.write_bytes(frame(1))
    final = tethered.folder / thing.name
    wanted = {thing.name: frame(1)}
    if had == "its part and its name":
        os.link(whole, final)
    elif had == "its part and a stranger":
        final.write_bytes(b"mine")
        wanted = {thing.name: b"mine", "DSC_0001-2.JPG": frame(1)}
    tethered.states.clear()
    tethered.begin()
    tethered.until_connected()
    tethered.until_here(*wanted)
    for name, content in wanted.items():
        tethered.holds(name, content)
    assert not any("catching up" in line for line in tethered.lines)


def test_parts_that_are_not_whole_are_dropped(tethered: Tethered, camera: Camera) -> None:
    (tethered.folder / ".tether-camera-0123.part").write_bytes(b"half")
    tethered.begin()
    tethered.until_connected()
    tethered.until_here()


def test_a_file_that_was_fetched_and_thrown_away_does_not_come_back(
    tethered: Tethered, camera: Camera
) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.press({"DSC_0001.JPG": frame(1)})
    tethered.until_here("DSC_0001.JPG")
    (tethered.folder / "DSC_0001.JPG").unlink()
    camera.drop()
    assert wait_for(lambda: not tethered.states[-1].there)
    tethered.until_connected()
    tethered.until_here()


def test_while_the_folder_is_away_frames_wait_on_the_card(
    tethered: Tethered, camera: Camera
) -> None:
    tethered.begin()
    tethered.until_connected()
    away = tethered.folder.with_name("unplugged")
    tethered.folder.rename(away)
    camera.press({"DSC_0001.JPG": frame(1)})
    assert wait_for(lambda: tethered.lines[-1].startswith("frames stay on the card"))
    away.rename(tethered.folder)
    tethered.until_here("DSC_0001.JPG")


def test_while_the_disk_is_full_frames_wait_on_the_card(
    tethered: Tethered, camera: Camera, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tether.arrivals.camera import folder

    monkeypatch.setattr(taking, "_DISK_S", 0.1)
    spare = folder._SPARE
    monkeypatch.setattr(folder, "_SPARE", 1 << 60)  # no disk has so much to spare
    tethered.begin()
    tethered.until_connected()
    camera.press({"DSC_0001.JPG": frame(1)})
    assert wait_for(lambda: "the disk is full" in tethered.lines[-1])
    monkeypatch.setattr(folder, "_SPARE", spare)
    tethered.until_here("DSC_0001.JPG")
