"""The next shot of each camera of a session."""

from __future__ import annotations

from tether.arrivals.source import Adjusted
from tether.model import Judgement
from tether.session.next_shot import NextShot
from tether.settings import Settings
from tether.verdict.checked import State


class NextShots:
    """What would make the next frame of any camera soft, as cameras and frames come in."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._each: dict[str, NextShot] = {}

    def adjusted(self, heard: Adjusted) -> None:
        """Take in what a camera is set to."""
        self._of(heard.of).adjusted(heard.settings)

    def taken(self, frame: Judgement) -> None:
        """Take in a frame: it may tell what its own camera does not."""
        self._of(frame.camera or "").taken(frame)

    @property
    def concerns(self) -> tuple[tuple[str, str], ...]:
        """All of them, each after its camera's name if it has one; the wrong ones first."""
        found = [
            (state, f"{name}: {text}" if name else text)
            for name, one in self._each.items()
            for state, text in one.concerns
        ]
        return tuple(sorted(found, key=lambda concern: concern[0] != State.WRONG.value))

    def _of(self, camera: str) -> NextShot:
        return self._each.setdefault(camera, NextShot(self._settings))
