"""Which of the cameras that are there is meant, and what to say when none can be had."""

from __future__ import annotations

from collections.abc import Sequence

from tether.arrivals.camera.messages import ANY, NETWORK, Found, Why

NONE_FOUND = "none is found: is it on, awake, its cable in, its USB mode PTP or PC remote?"
NOT_THERE = "nothing answers at {}: switch the camera on, wake it, and check its network"
REFUSED = "{} lets nobody in: accept this computer on the camera, and end its other connections"
HELD = (
    "another program holds {}: on Linux mostly the desktop's file manager or photo importer (eject "
    "the camera there), on macOS a photo importer that opens by itself (quit it)"
)
SILENT = "{} does not answer: switch it off and on"
BUSY = "{} is busy"
FAILED = "{} cannot be opened: {}"


def network(asked: str) -> Found | None:
    """Return the camera at an address, `ptpip:HOST[:PORT]`; None if it is no address."""
    kind, _, host = asked.partition(":")
    if kind.lower() != NETWORK or not host:
        return None
    return Found("camera", f"{NETWORK}:{host}")


def meant(asked: str, found: Sequence[Found]) -> list[Found]:
    """Return the cameras that are meant by a port, a serial number, or part of a model's name."""
    if asked == ANY:
        return list(found)
    for exactly in (
        [one for one in found if one.port == asked],
        [one for one in found if one.serial and one.serial.casefold() == asked.casefold()],
        [one for one in found if one.model.casefold() == asked.casefold()],
    ):
        if exactly:
            return exactly
    return [one for one in found if asked.casefold() in one.model.casefold()]


def several(found: Sequence[Found]) -> str:
    """Ask for one of several cameras."""
    listed = "; ".join(str(one) for one in found)
    return (
        f"{len(found)} cameras are there: {listed}. Name one by model, port or serial: --camera …"
    )


def another(asked: str, found: Sequence[Found]) -> str:
    """Say that other cameras are there than the one asked for."""
    listed = "; ".join(str(one) for one in found)
    return f"no camera that is called {asked!r} is there, but {listed}"


def not_opened(found: Found, why: Why, said: str) -> str:
    """Say why a camera could not be opened, and what helps."""
    name = found.port if found.network else f"the {found.model}"
    match why:
        case Why.HELD:
            return HELD.format(name)
        case Why.BUSY:
            return BUSY.format(name)
        case Why.SILENT:
            return SILENT.format(name)
        case Why.FAILED if found.network:
            return REFUSED.format(name)
    if found.network:
        return NOT_THERE.format(name)
    return FAILED.format(name, said)
