"""A camera on loopback to try the program with: `python -m mocks.camera`, then the watch on it."""

from __future__ import annotations

import argparse
import random
import sys
import threading
import time
from collections.abc import Callable, Iterator
from itertools import count, cycle

from mocks.camera.camera import PORT, Camera
from mocks.camera.codes import Property
from mocks.camera.properties import shutter
from mocks.camera.roll import pair, shoot

_KEYS = """Enter: press the shutter    b: five at once    p: a 45-megapixel pair, raw and JPEG
d: pull the cable    o: off, or on again    s: stall the next transfer
t: turn the shutter to 1/60 s, or back    q: leave"""
_BURST = 5
_STALL_S = 4.0


def main() -> None:
    """Be a camera until told to leave."""
    parser = argparse.ArgumentParser(prog="python -m mocks.camera", description=__doc__)
    parser.add_argument("--port", type=int, default=PORT, help="TCP port on loopback")
    parser.add_argument("--every", type=float, metavar="S", help="press by itself every S seconds")
    asked = parser.parse_args()
    names = (f"DSC_{number:04d}" for number in count(1))
    frames = cycle(shoot())
    try:
        with Camera(asked.port) as camera:
            host = camera.address.removesuffix(f":{PORT}")
            print(f"a camera is on: tether watch FOLDER --camera {host}", flush=True)
            pressing = threading.Lock()

            def press() -> None:
                with pressing:
                    camera.press({f"{next(names)}.JPG": next(frames)})

            if asked.every:
                _by_itself(camera, press, asked.every)
            else:
                _by_hand(camera, press, names)
    except OSError as problem:
        sys.exit(f"no camera can be put at port {asked.port}: {problem.strerror}")
    except KeyboardInterrupt:
        print()


def _by_itself(camera: Camera, press: Callable[[], None], every: float) -> None:
    while True:
        time.sleep(every * random.uniform(0.7, 1.3))
        if camera.connected:
            press()


def _by_hand(camera: Camera, press: Callable[[], None], names: Iterator[str]) -> None:
    print(_KEYS, flush=True)
    on, slow = True, False
    for line in sys.stdin:
        match line.strip().lower():
            case "":
                press()
            case "b":
                for _ in range(_BURST):
                    press()
            case "p":
                camera.press(pair(next(names)))
            case "d":
                camera.drop()
            case "o":
                camera.leave() if on else camera.come()
                on = not on
                print("on" if on else "off", flush=True)
            case "s":
                camera.faults.stall_after, camera.faults.stall_s = 1, _STALL_S
            case "t":
                slow = not slow
                camera.set(Property.EXPOSURE_TIME, shutter(1 / 60 if slow else 1 / 250))
            case "q":
                return
            case _:
                print(_KEYS, flush=True)


if __name__ == "__main__":
    main()
