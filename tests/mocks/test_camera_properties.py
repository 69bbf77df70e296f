"""The camera's properties, read by libgphoto2, which knows ISO 15740's coding by itself."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest

from mocks.camera.camera import Camera
from mocks.camera.codes import Property
from mocks.camera.properties import FocusMetering, FocusMode, hundredths, shutter
from tether.arrivals.camera import widgets
from tether.arrivals.camera.connecting import attempt
from tether.arrivals.camera.process import CameraProcess


@pytest.fixture
def camera() -> Iterator[Camera]:
    with Camera() as one:
        yield one


def told(camera: Camera) -> dict[str, str | float]:
    with CameraProcess(threading.Event()) as process:
        attempt(process, camera.address)
        return process.told(widgets.ALL)


def test_each_property_is_read_as_what_it_was_set_to(camera: Camera) -> None:
    camera.set(Property.BATTERY_LEVEL, 41)
    camera.set(Property.F_NUMBER, hundredths(2.8))
    camera.set(Property.FOCAL_LENGTH, hundredths(50))
    camera.set(Property.FOCUS_DISTANCE, 2345)
    camera.set(Property.FOCUS_MODE, FocusMode.MANUAL)
    camera.set(Property.EXPOSURE_TIME, shutter(1 / 125))
    camera.set(Property.EXPOSURE_INDEX, 800)
    camera.set(Property.FOCUS_METERING_MODE, FocusMetering.MULTI_SPOT)
    found = told(camera)
    clock = found.pop("datetime")
    assert isinstance(clock, int)
    assert abs(clock - time.time()) < 10
    assert found == {
        "batterylevel": "41%",
        "f-number": "f/2.8",
        "focallength": 50.0,
        "5009": 2345.0,
        "focusmode": "Manual",
        "shutterspeed": "0.0080s",
        "500d": "80",
        "iso": "800",
        "focusmetermode": "Multi-spot",
        "imagequality": "Unknown value 0001",
    }


def test_a_property_that_is_taken_away_is_not_told(camera: Camera) -> None:
    del camera.properties[Property.FOCAL_LENGTH]
    found = told(camera)
    assert "focallength" not in found
    assert found["f-number"] == "f/4"
