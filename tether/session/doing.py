"""How each folder and camera of a session is doing, as lines that tell of all of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tether.arrivals.source import Camera, Watching
from tether.session.record import WatchState


class Doing:
    """What was last heard of each source."""

    def __init__(self) -> None:
        self._folders: dict[str, Watching] = {}
        self._cameras: dict[str, Camera] = {}

    def folder(self, heard: Watching, state: WatchState) -> WatchState:
        """Take in how a folder is doing; one that is away is what matters most."""
        self._folders[heard.of] = heard
        away = [one for one in self._folders.values() if not one.there]
        # What is news of one that is there may be old news of the others.
        line = _joined(away or [heard])
        return replace(state, there=not away, line=line)

    def camera(self, heard: Camera, state: WatchState) -> WatchState:
        """Take in how a camera is doing."""
        self._cameras[heard.of] = heard
        there = all(one.there for one in self._cameras.values())
        return replace(state, camera_there=there, camera=_joined(self._cameras.values()))


def line_of(one: Watching | Camera) -> str:
    """What is told of a source, after its name if it has one."""
    return f"{one.of}: {one.line}" if one.of and one.line else one.line


def _joined(sources: Iterable[Watching | Camera]) -> str:
    return "; ".join(filter(None, map(line_of, sources)))
