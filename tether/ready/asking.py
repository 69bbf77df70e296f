"""The camera asked once for all that is looked at before a session; it is only read."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass

from tether.arrivals.camera import values, widgets
from tether.arrivals.camera.connecting import NotYet, attempt
from tether.arrivals.camera.messages import Refused, Store
from tether.arrivals.camera.process import CameraProcess, Lost
from tether.model import CameraSettings

_TRIES = 3
_AGAIN_S = 0.7


@dataclass(frozen=True, slots=True)
class Answered:
    """A camera that answered, and what it is set to. `at` is this computer's clock then, s."""

    name: str
    settings: CameraSettings
    at: float


def ask(asked: str) -> Answered:
    """Connect to a camera, read its settings, and let go of it.

    Raises
    ------
    NotYet
        It does not answer; the message says why and what helps.
    """
    why = ""
    with CameraProcess(threading.Event()) as process:
        for _ in range(_TRIES):
            try:
                camera = attempt(process, asked)
                told = process.told(widgets.ALL)
                at = time.time()
                return Answered(str(camera), values.settings(told, _store(process)), at)
            except NotYet as problem:
                why = str(problem)
            except (Refused, Lost) as problem:
                raise NotYet(f"the camera stopped answering: {problem}") from problem
            time.sleep(_AGAIN_S)
    raise NotYet(why)


def _store(process: CameraProcess) -> Store:
    try:
        return process.store()
    except Refused:
        return Store()
