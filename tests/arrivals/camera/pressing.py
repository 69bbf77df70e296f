"""The camera's process on the virtual USB camera, which presses its shutter when a file asks."""

from __future__ import annotations

import os
from pathlib import Path

from tether.arrivals.camera import device
from tether.arrivals.camera.messages import Happened
from tether.arrivals.camera.serving import serve

ASK = "TETHER_TEST_PRESS"
"""The environment's name for a folder: each file in it is one press, and goes with it."""


class PressingDevice(device.Device):
    def wait(self, seconds: float) -> list[Happened]:
        for asked in sorted(Path(os.environ[ASK]).iterdir()):
            asked.unlink()
            # The driver's own way to be pressed as by hand: an object appears, nobody asked.
            opcode = self._open.get_single_config("opcode")
            opcode.set_value("0x9999,0x0,0x1")
            self._open.set_single_config("opcode", opcode)
        return super().wait(seconds)


if __name__ == "__main__":
    device.Device = PressingDevice  # type: ignore[misc]
    serve()
