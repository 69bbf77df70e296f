"""What the camera is set to, through the real library, from a camera that is not there."""

from __future__ import annotations

from pathlib import Path

import pytest

from mocks.camera.camera import Camera
from mocks.camera.codes import Operation, Property
from mocks.camera.properties import FocusMode as Standard
from mocks.camera.properties import hundredths, shutter
from tests.arrivals.inbox import Inbox, wait_for
from tether.arrivals.camera import dials
from tether.arrivals.camera.source import CameraSource
from tether.arrivals.source import Adjusted
from tether.model import CameraSettings, FocusMode
from tether.session.fetched import Fetched


class Listening(Inbox):
    @property
    def settings(self) -> list[CameraSettings | None]:
        return [one.settings for one in self.all if isinstance(one, Adjusted)]

    def until_shutter(self, seconds: float) -> bool:
        def there() -> bool:
            last = self.settings[-1] if self.settings else None
            return last is not None and last.shutter_s == pytest.approx(seconds, rel=0.01)

        return wait_for(there)


def test_settings_are_told_at_once_and_whenever_they_change(folder: Path, camera: Camera) -> None:
    inbox = Listening()
    source = CameraSource(folder, camera.address, Fetched(folder))
    source.start(inbox)
    try:
        assert inbox.until_shutter(1 / 250)
        camera.set(Property.EXPOSURE_TIME, shutter(1 / 60))
        assert inbox.until_shutter(1 / 60)
        # A camera that does not say so is asked.
        camera.properties[Property.EXPOSURE_TIME] = shutter(1 / 30)
        camera.properties[Property.FOCUS_MODE] = Standard.MANUAL
        camera.properties[Property.F_NUMBER] = hundredths(8)
        assert inbox.until_shutter(1 / 30)
        last = inbox.settings[-1]
        assert last is not None
        assert (last.f_number, last.focal_length_mm) == (8.0, 85.0)
        assert (last.focus_distance_m, last.iso) == (1.5, 200)
        assert last.focus_mode is FocusMode.MANUAL
        camera.leave()
        assert wait_for(lambda: inbox.settings[-1] is None)
        camera.come()
        assert inbox.until_shutter(1 / 30)
    finally:
        source.stop()
    assert Operation.SET_DEVICE_PROP_VALUE not in camera.asked
    assert Operation.INITIATE_CAPTURE not in camera.asked


def test_a_change_that_is_announced_is_read_without_waiting_for_the_next_turn(
    folder: Path, camera: Camera, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(dials, "EVERY_S", 3600.0)
    inbox = Listening()
    source = CameraSource(folder, camera.address, Fetched(folder))
    source.start(inbox)
    try:
        assert inbox.until_shutter(1 / 250)
        camera.set(Property.EXPOSURE_TIME, shutter(1 / 60))
        assert inbox.until_shutter(1 / 60)
    finally:
        source.stop()


def test_a_camera_that_tells_nothing_is_left_in_peace(folder: Path) -> None:
    without = frozenset({Operation.GET_DEVICE_PROP_DESC, Operation.GET_DEVICE_PROP_VALUE})
    inbox = Listening()
    with Camera(without=without) as camera:
        source = CameraSource(folder, camera.address, Fetched(folder))
        source.start(inbox)
        try:
            assert wait_for(lambda: inbox.settings == [CameraSettings()])
            camera.press({"DSC_0001.JPG": b"\xff\xd8 a picture \xff\xd9"})
            assert wait_for((folder / "DSC_0001.JPG").exists)
        finally:
            source.stop()
