"""Settings as the camera library tells them. Runs in the camera's process; it only ever reads."""

from __future__ import annotations

import time

import gphoto2 as gp

from tether.arrivals.camera.messages import Store

_PATIENCE_S = 1.0

# What a camera sends for a number that it does not know.
_UNKNOWN_COUNT = 0xFFFFFFFF


def settings(camera: gp.Camera, names: list[str]) -> dict[str, str | float]:
    """Return the settings of these names, as far as the camera has them."""
    # One by one: all that a camera has may take it seconds, and a frame would wait.
    found = {}
    for name in names:
        began = time.monotonic()
        try:
            value = camera.get_single_config(name).get_value()
        except gp.GPhoto2Error:
            # On a dead link each takes its time and fails as if there were no such setting.
            if time.monotonic() - began > _PATIENCE_S:
                raise
            continue
        if isinstance(value, str | int | float):
            found[name] = value
    return found


def store(camera: gp.Camera) -> Store:
    """Return the room on the cards, all of them together."""
    told = camera.get_storageinfo()
    kilobytes = [one.freekbytes for one in told if one.fields & gp.GP_STORAGEINFO_FREESPACEKBYTES]
    frames = [
        one.freeimages
        for one in told
        if one.fields & gp.GP_STORAGEINFO_FREESPACEIMAGES and one.freeimages < _UNKNOWN_COUNT
    ]
    return Store(
        1024 * sum(kilobytes) if kilobytes else None,
        sum(frames) if frames else None,
    )
