"""A watch with a camera tells before the shot what would make it soft.

One over twice 85 mm by hand: common practice, no source.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from mocks.camera.camera import Camera
from mocks.camera.codes import Operation, Property
from mocks.camera.properties import shutter
from tests.pictures import jpeg, portrait
from tests.session.made import until
from tether.session.reader import Reader
from tether.session.schema import RecordError

EXIF = {"Exif.Photo.FocalLength": "85/1"}


def before(folder: Path) -> tuple[tuple[str, str], ...]:
    try:
        return Reader(folder).state().before
    except RecordError:
        return ()


def test_it_is_in_the_record_while_it_holds_and_gone_with_the_watch(folder: Path) -> None:
    with Camera() as camera:
        command = [sys.executable, "-m", "tether", "watch", "--headless", "--camera"]
        with subprocess.Popen([*command, camera.address, str(folder)]) as watch:
            try:
                camera.properties[Property.EXPOSURE_TIME] = shutter(1 / 60)
                until(lambda: bool(before(folder)))
                ((state, text),) = before(folder)
                assert state == "wrong"
                assert text.startswith("1/60 s by hand at 85 mm: take 1/200 s")
                camera.set(Property.EXPOSURE_TIME, shutter(1 / 250))
                until(lambda: not before(folder))
                # Without a focal length from the camera, the last frame's is taken.
                camera.leave()
                del camera.properties[Property.FOCAL_LENGTH]
                camera.properties[Property.EXPOSURE_TIME] = shutter(1 / 30)
                camera.come()
                until(lambda: camera.connected and Operation.GET_OBJECT_HANDLES in camera.asked)
                camera.press({"DSC_0001.JPG": jpeg(portrait(), EXIF)})
                until(lambda: bool(before(folder)))
                assert "1/30 s by hand at 85 mm" in before(folder)[0][1]
            finally:
                watch.terminate()
                watch.wait(20)
        assert before(folder) == ()
    assert Operation.SET_DEVICE_PROP_VALUE not in camera.asked
