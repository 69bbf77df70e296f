"""All that is looked at before a session, in the order in which it is told."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tether.arrivals.camera.connecting import NotYet
from tether.arrivals.camera.process import Lost
from tether.ready import alerts, folder
from tether.ready import camera as power
from tether.ready.asking import Answered, ask
from tether.session import lock, next_shot
from tether.settings import Settings
from tether.verdict import before_shot
from tether.verdict.checked import Check, State

CAMERA = "camera"


def of_the_camera(where: Path, asked: str, settings: Settings) -> Iterator[Check]:
    """Ask the camera, and look at what it tells."""
    why = "frames come from it"
    if lock.held(where):
        found = "a watch runs on this folder, and has the camera"
        yield Check(CAMERA, State.UNTOLD, found, why, "end that watch, then ask again")
        return
    try:
        answered = ask(asked)
    except (NotYet, Lost, OSError) as problem:
        found, _, change = str(problem).partition(": ")
        yield Check(CAMERA, State.WRONG, found, why, change)
        return
    yield Check(CAMERA, State.GOOD, answered.name, why)
    yield from _told(answered, settings, folder.frame_bytes(where))


def of_the_folder(where: Path) -> Iterator[Check]:
    """Write to the folder, and look at its disk."""
    yield from folder.written(where)
    yield folder.disk(where, folder.frame_bytes(where))


def of_the_alerts(settings: Settings) -> Iterator[Check]:
    """Try every way in which somebody is told of a soft frame."""
    yield alerts.bell(settings)
    yield from alerts.others(settings)


def _told(answered: Answered, settings: Settings, frame_bytes: float) -> Iterator[Check]:
    told = answered.settings
    yield power.battery(told)
    yield power.card(told, frame_bytes)
    yield power.clock(told, answered.at)
    yield power.file_format(told)
    shot = next_shot.shot(told, settings)
    yield before_shot.focus_mode(shot)
    yield power.focus_area(told)
    yield before_shot.stabiliser(shot)
    yield before_shot.shutter(shot)
    depth = before_shot.depth(shot)
    if depth is not None:
        yield depth
