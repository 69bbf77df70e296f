"""From the words on the command line to one open camera, however long that takes."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace

from tether.arrivals.camera import choosing
from tether.arrivals.camera.messages import Found, Refused
from tether.arrivals.camera.process import CameraProcess, Lost

AGAIN_S = 1.0
"""Seconds from one try to the next."""

_MOST_TRIES = 30


class NotYet(Exception):
    """There is no camera to be had now; the message says why and what helps."""


def connect(
    process: CameraProcess, asked: str, say: Callable[[str], None], stop: threading.Event
) -> Found:
    """Wait for the camera that is asked for and connect to it.

    Parameters
    ----------
    process
        Is connected to it afterwards.
    asked
        A model, a port, a serial number, an address, or `messages.ANY`.
    say
        Is told why there is none yet, each time that is tried.
    stop
        Ends the waiting.

    Raises
    ------
    Lost
        The process is gone, or has tried long enough: the library leaks with each try.
    """
    for _ in range(_MOST_TRIES):
        try:
            return attempt(process, asked)
        except NotYet as problem:
            say(str(problem))
        if stop.wait(AGAIN_S):
            break
    raise Lost("")


def attempt(process: CameraProcess, asked: str) -> Found:
    """Connect to the camera that is asked for.

    Raises
    ------
    NotYet
        There is none to be had now.
    Lost
        The process is gone.
    """
    return _opened(process, _one(process, asked))


def _one(process: CameraProcess, asked: str) -> Found:
    """Return the one camera that is meant."""
    if (address := choosing.network(asked)) is not None:
        return address
    try:
        there = process.find()
    except Refused as problem:
        raise NotYet(str(problem)) from problem
    if not there:
        raise NotYet(choosing.NONE_FOUND)
    meant = choosing.meant(asked, there)
    if len(meant) == 1:
        return meant[0]
    there = [_with_serial(process, one) for one in there]
    meant = choosing.meant(asked, there)
    if not meant:
        raise NotYet(choosing.another(asked, there))
    if len(meant) > 1:
        raise NotYet(choosing.several(meant))
    return meant[0]


def _with_serial(process: CameraProcess, found: Found) -> Found:
    try:
        serial = process.open(found).serial
        process.close()
    except Refused:
        return found
    return replace(found, serial=serial)


def _opened(process: CameraProcess, found: Found) -> Found:
    try:
        return process.open(found)
    except Refused as problem:
        raise NotYet(choosing.not_opened(found, problem.why, str(problem))) from problem
