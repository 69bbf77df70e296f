"""A camera, a session's folder, and the source between them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from mocks.camera.camera import Camera
from mocks.camera.roll import numbered
from tests.arrivals.inbox import wait_for
from tests.pictures import jpeg, portrait
from tether.arrivals.camera.source import CameraSource
from tether.arrivals.source import Adjusted, Arrival
from tether.arrivals.source import Camera as State
from tether.session.fetched import Fetched


@lru_cache(maxsize=1)
def _one() -> bytes:
    return jpeg(portrait())


def frame(number: int = 0) -> bytes:
    """A JPEG unlike every other one."""
    return numbered(_one(), number)


@dataclass
class Tethered:
    """A source on a camera; times out after some seconds of waiting in vain."""

    folder: Path
    camera: Camera
    states: list[State] = field(default_factory=list)
    source: CameraSource | None = None

    def begin(
        self,
        asked: str | None = None,
        *,
        keep: bool = True,
        earlier: bool = False,
        command: list[str] | None = None,
    ) -> None:
        """Start, and wait for the camera if it is on."""
        self.source = CameraSource(
            self.folder,
            asked or self.camera.address,
            Fetched(self.folder),
            keep=keep,
            earlier=earlier,
            command=command,
        )
        self.source.start(self._hear)

    def until_connected(self) -> None:
        """Wait until frames can come: the card was looked through."""
        assert wait_for(lambda: bool(self.lines) and self.lines[-1].startswith("connected: "))
        assert wait_for(lambda: " on " not in self.lines[-1]), self.lines

    def end(self) -> None:
        """Stop."""
        if self.source is not None:
            self.source.stop()

    @property
    def lines(self) -> list[str]:
        """What was told of the camera, the latest last."""
        return [state.line for state in list(self.states)]

    @property
    def names(self) -> list[str]:
        """What is in the folder besides the record, hidden parts too."""
        return sorted(p.name for p in self.folder.iterdir() if not p.name.startswith("tether-"))

    def until_here(self, *names: str, seconds: float = 20.0) -> None:
        """Wait until exactly these are in the folder."""
        assert wait_for(lambda: self.names == sorted(names), seconds), (self.names, self.lines)

    def holds(self, name: str, content: bytes) -> None:
        """Every byte is what the camera has."""
        assert (self.folder / name).read_bytes() == content

    def _hear(self, arrival: Arrival) -> None:
        if not isinstance(arrival, Adjusted):
            assert isinstance(arrival, State)
            self.states.append(arrival)


def processes_of(source: CameraSource | None) -> list[int]:
    """The camera's processes that this test started."""
    import psutil

    assert source is not None
    return [
        child.pid
        for child in psutil.Process().children(recursive=True)
        if any("camera.serving" in part for part in _cmdline(child))
    ]


def _cmdline(process: object) -> list[str]:
    import psutil

    try:
        return list(process.cmdline())  # type: ignore[attr-defined]
    except psutil.Error:
        return []
