"""Every shutter press, whoever triggers it, is a file in the folder, whole and under its name."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from mocks.camera.camera import Camera
from mocks.camera.roll import raw
from tests.arrivals.camera.tethered import Tethered, frame
from tests.arrivals.inbox import wait_for

YESTERDAY = datetime.now() - timedelta(days=1)


def test_a_press_becomes_a_file_with_every_byte(tethered: Tethered, camera: Camera) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.press({"DSC_0001.JPG": frame(1)})
    tethered.until_here("DSC_0001.JPG")
    tethered.holds("DSC_0001.JPG", frame(1))
    assert len(list(camera.card)) == 1  # and it stays on the card


def test_of_a_pair_the_jpeg_comes_first(tethered: Tethered, camera: Camera) -> None:
    tethered.begin()
    tethered.until_connected()
    negative = raw(1, 20_000_000)
    # The camera announces the raw first.
    camera.press({"DSC_0001.NEF": negative, "DSC_0001.JPG": frame(1)})
    tethered.until_here("DSC_0001.JPG", "DSC_0001.NEF")
    tethered.holds("DSC_0001.NEF", negative)
    made = {n: (tethered.folder / n).stat().st_mtime_ns for n in tethered.names}
    assert made["DSC_0001.JPG"] < made["DSC_0001.NEF"]


def test_a_burst_is_drained_in_order(tethered: Tethered, camera: Camera) -> None:
    tethered.begin()
    tethered.until_connected()
    names = [f"DSC_{number:04}.JPG" for number in range(1, 31)]
    for number, name in enumerate(names):
        camera.press({name: frame(number)})
    tethered.until_here(*names)
    made = sorted(names, key=lambda name: (tethered.folder / name).stat().st_mtime_ns)
    assert made == names


def test_what_was_on_the_card_before_stays_there_alone(tethered: Tethered, camera: Camera) -> None:
    camera.card.add("DSC_0001.JPG", frame(1), taken=YESTERDAY)
    tethered.begin()
    tethered.until_connected()
    camera.press({"DSC_0002.JPG": frame(2)})
    tethered.until_here("DSC_0002.JPG")


@pytest.mark.parametrize("ahead", [timedelta(hours=7), timedelta(hours=-7)])
def test_what_was_taken_since_the_session_began_is_not_earlier(
    tethered: Tethered, camera: Camera, ahead: timedelta
) -> None:
    """A camera that is connected late, and whose clock stands in another part of the world."""
    camera.leave()
    camera.ahead = ahead
    tethered.begin()
    assert wait_for(lambda: bool(tethered.lines))
    now = datetime.now() + ahead
    camera.card.add("DSC_0001.JPG", frame(1), taken=now - timedelta(seconds=30))
    camera.card.add("DSC_0002.JPG", frame(2), taken=now + timedelta(seconds=1))
    camera.come()
    tethered.until_here("DSC_0002.JPG")
    tethered.until_connected()
    tethered.until_here("DSC_0002.JPG")


def test_unless_the_settings_say_otherwise(tethered: Tethered, camera: Camera) -> None:
    camera.card.add("DSC_0001.JPG", frame(1), taken=YESTERDAY)
    tethered.begin(earlier=True)
    tethered.until_here("DSC_0001.JPG")


def test_a_taken_name_gets_a_number_and_nothing_is_overwritten(
    tethered: Tethered, camera: Camera
) -> None:
    (tethered.folder / "DSC_0001.JPG").write_bytes(b"mine")
    tethered.begin()
    tethered.until_connected()
    camera.press({"DSC_0001.NEF": b"raw" * 1000, "DSC_0001.JPG": frame(1)})
    # The raw keeps to its JPEG, not to the file that had the name.
    tethered.until_here("DSC_0001.JPG", "DSC_0001-2.JPG", "DSC_0001-2.NEF")
    tethered.holds("DSC_0001.JPG", b"mine")
    tethered.holds("DSC_0001-2.JPG", frame(1))


def test_a_formatted_card_begins_its_names_anew(tethered: Tethered, camera: Camera) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.press({"DSC_0001.JPG": frame(1)})
    tethered.until_here("DSC_0001.JPG")
    camera.card.format()
    camera.drop()
    camera.card.add("DSC_0001.JPG", frame(2) + b"another size")
    tethered.until_here("DSC_0001.JPG", "DSC_0001-2.JPG")
    tethered.holds("DSC_0001.JPG", frame(1))


def test_pictures_leave_the_card_only_once_they_are_here(
    tethered: Tethered, camera: Camera
) -> None:
    camera.card.add("OLD_0001.JPG", frame(9), taken=YESTERDAY)  # never fetched, so never taken off
    tethered.begin(keep=False)
    tethered.until_connected()
    camera.faults.cut_after = 5000
    camera.press({"DSC_0001.JPG": frame(1)})
    tethered.until_here("DSC_0001.JPG")
    tethered.until_connected()
    assert [thing.name for thing in camera.card] == ["OLD_0001.JPG"]
    tethered.holds("DSC_0001.JPG", frame(1))


def test_progress_is_told_on_the_way(tethered: Tethered, camera: Camera) -> None:
    tethered.begin()
    tethered.until_connected()
    camera.faults.pace = 20_000_000
    camera.press({"DSC_0001.NEF": raw(1, 20_000_000)})
    tethered.until_here("DSC_0001.NEF")
    told = [line for line in tethered.lines if "of 20 MB" in line]
    assert len(told) >= 2, tethered.lines
