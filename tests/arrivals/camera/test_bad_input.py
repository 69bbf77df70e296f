"""Whatever the camera announces, nothing outside the folder is written and the session goes on."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from mocks.camera.camera import Camera
from mocks.camera.codes import Event
from tests.arrivals.camera.tethered import Tethered, frame
from tests.arrivals.inbox import wait_for
from tether.session.schema import NAME


def everything_below(path: Path) -> set[Path]:
    return {p.relative_to(path) for p in path.rglob("*") if not p.name.startswith("tether-record")}


@pytest.fixture(autouse=True)
def on(tethered: Tethered) -> None:
    tethered.begin()
    tethered.until_connected()


def goes_on(tethered: Tethered, camera: Camera, *also: str) -> None:
    """The next frame comes as if nothing had happened, and nothing else did."""
    camera.press({"DSC_0099.JPG": frame(99)})
    tethered.until_here("DSC_0099.JPG", *also)
    tethered.holds("DSC_0099.JPG", frame(99))


def said(caplog: pytest.LogCaptureFixture, what: str) -> int:
    return sum(what in record.message for record in caplog.records)


def test_an_object_that_does_not_exist(
    tethered: Tethered, camera: Camera, caplog: pytest.LogCaptureFixture
) -> None:
    camera.tell(Event.OBJECT_ADDED, 0xDEAD)
    goes_on(tethered, camera)


def test_an_object_announced_and_then_denied(
    tethered: Tethered, camera: Camera, caplog: pytest.LogCaptureFixture
) -> None:
    handle = camera.card.add("DSC_0001.JPG", frame(1))
    camera.faults.denied_content.add(handle)
    camera.tell(Event.OBJECT_ADDED, handle)
    assert wait_for(lambda: said(caplog, "DSC_0001.JPG was announced and is not given") > 0)
    goes_on(tethered, camera)
    assert said(caplog, "DSC_0001.JPG was announced and is not given") == 1


@pytest.mark.parametrize("claimed", [1000, 10_000_000])
def test_another_size_than_announced(
    tethered: Tethered, camera: Camera, claimed: int, caplog: pytest.LogCaptureFixture
) -> None:
    handle = camera.card.add("DSC_0001.JPG", frame(1), announced=claimed)
    camera.tell(Event.OBJECT_ADDED, handle)
    assert wait_for(lambda: said(caplog, "DSC_0001.JPG is not taken") == 1)
    goes_on(tethered, camera)


def test_no_bytes_at_all(
    tethered: Tethered, camera: Camera, caplog: pytest.LogCaptureFixture
) -> None:
    camera.press({"DSC_0001.JPG": b""})
    goes_on(tethered, camera)
    assert said(caplog, "DSC_0001.JPG is empty") == 1


def test_a_file_still_being_written_comes_once_it_has_its_size(
    tethered: Tethered, camera: Camera
) -> None:
    (handle,) = camera.press({"DSC_0001.JPG": b""})
    goes_on(tethered, camera)
    camera.card.remove(handle)
    camera.card.add("DSC_0001.JPG", frame(1))
    # Nobody announces it any more: the card is looked through for it in a while.
    tethered.until_here("DSC_0099.JPG", "DSC_0001.JPG")


def test_one_that_cannot_be_described_hides_no_other(tethered: Tethered, camera: Camera) -> None:
    camera.faults.denied.add(camera.card.add("DSC_0001.JPG", frame(1)))
    camera.card.add("DSC_0002.JPG", frame(2))
    camera.drop()
    tethered.until_here("DSC_0002.JPG")
    goes_on(tethered, camera, "DSC_0002.JPG")


def test_the_same_object_again(tethered: Tethered, camera: Camera) -> None:
    (handle,) = camera.press({"DSC_0001.JPG": frame(1)})
    for _ in range(3):
        camera.tell(Event.OBJECT_ADDED, handle)
    goes_on(tethered, camera, "DSC_0001.JPG")
    camera.tell(Event.OBJECT_ADDED, handle)
    camera.press({"DSC_0100.JPG": frame(100)})
    tethered.until_here("DSC_0001.JPG", "DSC_0099.JPG", "DSC_0100.JPG")


def test_a_movie_stays_on_the_card(
    tethered: Tethered, camera: Camera, caplog: pytest.LogCaptureFixture
) -> None:
    camera.press({"MVI_0001.MOV": b"movie" * 1000})
    goes_on(tethered, camera)
    camera.drop()
    tethered.until_here("DSC_0099.JPG")
    assert said(caplog, "MVI_0001.MOV is no picture: it stays on the card") == 1


def test_what_macos_puts_beside_a_picture_is_none(tethered: Tethered, camera: Camera) -> None:
    camera.press({"._DSC_0001.JPG": frame(1)})
    goes_on(tethered, camera)


def test_an_earlier_picture_that_is_only_marked_in_the_camera_stays_there(
    tethered: Tethered, camera: Camera
) -> None:
    tethered.end()
    old = camera.card.add("OLD_0001.JPG", frame(9), taken=datetime.now() - timedelta(days=1))
    (tethered.folder / NAME).unlink()
    tethered.states.clear()
    tethered.begin()
    tethered.until_connected()
    camera.tell(Event.OBJECT_INFO_CHANGED, old)
    goes_on(tethered, camera)


def test_a_folder_is_no_frame(tethered: Tethered, camera: Camera) -> None:
    folder = camera.card.add_folder("101KILNS")
    camera.tell(Event.OBJECT_ADDED, folder)
    handle = camera.card.add("DSC_0001.JPG", frame(1), parent=folder)
    camera.tell(Event.OBJECT_ADDED, handle)
    goes_on(tethered, camera, "DSC_0001.JPG")


@pytest.mark.parametrize(
    "name",
    [
        "../DSC_0001.JPG",
        "../../../../../../tmp/DSC_0001.JPG",
        "/tmp/DSC_0001.JPG",
        "..\\DSC_0001.JPG",
        ".DSC_0001.JPG",
    ],
)
def test_a_name_with_a_path_in_it(tethered: Tethered, camera: Camera, name: str) -> None:
    outside = everything_below(tethered.folder.parent) - everything_below(tethered.folder)
    inside = {p.relative_to(tethered.folder.parent) for p in tethered.folder.rglob("*")}
    before = {p for p in outside if p not in inside}
    camera.press({name: frame(1)})
    camera.press({"DSC_0099.JPG": frame(99)})
    assert wait_for(lambda: "DSC_0099.JPG" in tethered.names)
    wait_for(lambda: "DSC_0001.JPG" in tethered.names, 2.0)
    after = everything_below(tethered.folder.parent)
    new = {p for p in after - before if p.parts[0] != tethered.folder.name}
    assert not new
    assert not Path("/tmp/DSC_0001.JPG").exists()
    assert tethered.names == ["DSC_0001.JPG", "DSC_0099.JPG"], tethered.names
    tethered.holds("DSC_0001.JPG", frame(1))


def test_an_endless_name_and_one_of_control_characters(tethered: Tethered, camera: Camera) -> None:
    camera.press({"D" * 240 + ".JPG": frame(1)})
    camera.press({"a\x1b[2Jb\n.JPG": frame(2)})
    assert wait_for(lambda: len(tethered.names) == 2), tethered.lines
    assert all(len(name) < 210 and name.isprintable() for name in tethered.names)


def test_the_card_is_full(
    tethered: Tethered, camera: Camera, caplog: pytest.LogCaptureFixture
) -> None:
    camera.card_full()
    assert wait_for(lambda: tethered.lines[-1].endswith("its card is full"))
    goes_on(tethered, camera)
