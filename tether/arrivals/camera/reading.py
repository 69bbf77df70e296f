"""Settings as the camera library tells them. Runs in the camera's process; it only ever reads."""

from __future__ import annotations

from contextlib import suppress

import gphoto2 as gp

from tether.arrivals.camera.messages import Store

Told = dict[str, str | float]

# What a camera sends for a number that it does not know.
_UNKNOWN_COUNT = 0xFFFFFFFF


def all_of(camera: gp.Camera) -> Told:
    """Return every setting that has a value, by its name."""
    found: Told = {}
    waiting = [camera.get_config()]
    while waiting:
        widget = waiting.pop()
        below = [widget.get_child(at) for at in range(widget.count_children())]
        waiting += below
        if not below:
            _note(found, widget)
    return found


def some(camera: gp.Camera, names: list[str]) -> Told:
    """Return the settings of these names, as far as the camera has them."""
    found: Told = {}
    for name in names:
        with suppress(gp.GPhoto2Error):
            _note(found, camera.get_single_config(name))
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


def _note(found: Told, widget: gp.CameraWidget) -> None:
    with suppress(gp.GPhoto2Error):
        value = widget.get_value()
        if isinstance(value, str | int | float):
            found[widget.get_name()] = value
