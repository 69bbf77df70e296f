"""The camera's process seen from outside: started, asked, and ended when it is late."""

from __future__ import annotations

import json
import logging
import os
import selectors
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Collection
from pathlib import Path
from typing import IO, Any, Self

import platformdirs

from tether.arrivals.camera.introduced import introduce
from tether.arrivals.camera.messages import Found, Happened, OnCard, Refused, Store, Why, happened
from tether.plain import plain

_log = logging.getLogger(__name__)

START_S = 10.0
ANSWER_S = 15.0
"""What any request may take that moves no picture; the library's own patience is less."""

STALL_S = 25.0
"""How long a transfer may bring nothing; the library gives up before that, if it still can."""

_LOOK_S = 0.1
_END_S = 3.0
_CODE = (
    "import sys; sys.path[:] = {path!r}; from tether.arrivals.camera.serving import serve; serve()"
)


class Lost(Exception):
    """The process died, hung, or is to end: the camera has to be connected anew."""


def own_settings() -> Path:
    """The folder for what the camera library keeps: the name that a network camera knows us by."""
    return platformdirs.user_data_path("tether") / "camera"


class CameraProcess:
    """A process with one connection to one camera at most. One thread at a time.

    Parameters
    ----------
    stop
        Ends whatever is asked, soon after it is set.
    command
        What to run instead of the camera's process, for trying out how it can go wrong.

    Raises
    ------
    Refused
        The camera did not do it, and says why.
    Lost
        The process is gone.
    """

    def __init__(self, stop: threading.Event, command: list[str] | None = None) -> None:
        self._stop = stop
        self._late = False
        settings = own_settings()
        settings.mkdir(parents=True, exist_ok=True)
        introduce(settings)
        self._running = subprocess.Popen(
            command or [sys.executable, "-I", "-c", _CODE.format(path=sys.path)],
            bufsize=0,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,  # the terminal's Ctrl-C is not for it
            env={**os.environ, "XDG_CONFIG_HOME": str(settings)},
        )
        assert self._running.stdout is not None
        assert self._running.stderr is not None
        self._received = b""
        self._selector = selectors.DefaultSelector()
        self._selector.register(self._running.stdout, selectors.EVENT_READ)
        threading.Thread(
            target=_to_the_log, args=(self._running.stderr,), name="camera log", daemon=True
        ).start()
        try:
            self._answer(START_S)
        except BaseException:
            self.kill()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: object, problem: BaseException | None, trace: object) -> None:
        # A dead link, or a process that hangs, cannot be left politely: only time would be lost.
        if self._late or (isinstance(problem, Refused) and problem.why is Why.SILENT):
            self.kill()
        else:
            self.end()

    @property
    def pid(self) -> int:
        """Of the process."""
        return self._running.pid

    def find(self) -> list[Found]:
        """Return the cameras on the cables."""
        return [Found(**one) for one in self._ask(do="find")]

    def open(self, found: Found) -> Found:
        """Connect, and return what the camera calls itself."""
        return Found(**self._ask(60.0, do="open", port=found.port, model=found.model))

    def files(self) -> list[OnCard]:
        """Return every file on the card."""
        return [OnCard(*one) for one in self._ask(600.0, do="files")]

    def wait(self, seconds: float) -> list[Happened]:
        """Return what happens in the next seconds, at once when something does."""
        return [happened(one) for one in self._ask(ANSWER_S + seconds, do="wait", seconds=seconds)]

    def fetch(self, file: OnCard, to: Path, progress: Callable[[int], None]) -> int:
        """Copy a file from the card; return how many bytes came, and tell of them on the way."""
        self._send(do="fetch", folder=file.folder, name=file.name, path=str(to))
        return int(self._answer(STALL_S, lambda: _size(to), progress))

    def delete(self, file: OnCard) -> None:
        """Take a file off the card."""
        self._ask(do="delete", folder=file.folder, name=file.name)

    def probe(self) -> int | None:
        """Find out whether the camera still answers, and how many kilobytes its cards have free."""
        free = self._ask(do="probe")
        return None if free is None else int(free)

    def told(self, names: Collection[str]) -> dict[str, str | float]:
        """Return what the camera tells of settings, by the library's names; nothing is changed."""
        return dict(self._ask(do="told", names=sorted(names)))

    def store(self) -> Store:
        """Return the room on the cards."""
        return Store(**self._ask(do="store"))

    def close(self) -> None:
        """Let go of the camera."""
        self._ask(do="close")

    def end(self) -> None:
        """Let go of the camera and end the process; kill it if that takes long."""
        if self._running.stdin is not None:
            try:
                self._running.stdin.close()
                self._running.wait(0.5 if self._stop.is_set() else _END_S)
            except (OSError, subprocess.TimeoutExpired):
                pass
        self.kill()

    def kill(self) -> None:
        """End the process now."""
        self._running.kill()
        self._running.wait()
        self._selector.close()
        for pipe in (self._running.stdin, self._running.stdout):
            if pipe is not None:
                pipe.close()

    def _ask(self, within_s: float = ANSWER_S, **request: Any) -> Any:
        self._send(**request)
        return self._answer(within_s)

    def _send(self, **request: Any) -> None:
        assert self._running.stdin is not None
        if self._stop.is_set():
            raise Lost("the watch ends")
        try:
            self._running.stdin.write(json.dumps(request).encode("ascii") + b"\n")
        except (OSError, ValueError) as problem:
            raise Lost(self._ended()) from problem

    def _answer(
        self,
        within_s: float,
        size: Callable[[], int] = lambda: 0,
        progress: Callable[[int], None] = lambda _: None,
    ) -> Any:
        """Return the answer; `within_s` begins again whenever `size` grows."""
        before, deadline = 0, time.monotonic() + within_s
        while (line := self._line()) is None:
            now, came = time.monotonic(), size()
            if came > before:
                before, deadline = came, now + within_s
                progress(came)
            if self._stop.is_set():
                raise Lost("the watch ends")
            if now > deadline:
                self._late = True
                raise Lost(f"the camera's process did not answer for {within_s:g} s")
        try:
            told = json.loads(line)
            if "refused" in told:
                raise Refused(Why(told["refused"]), told["said"])
            return told.get("ok")
        except (ValueError, KeyError, AttributeError) as problem:
            raise Lost("the camera's process answered nonsense") from problem

    def _line(self) -> bytes | None:
        """Return the next line, or None if none comes for a moment."""
        assert self._running.stdout is not None
        if b"\n" not in self._received:
            if not self._selector.select(_LOOK_S):
                return None
            part = os.read(self._running.stdout.fileno(), 1 << 16)
            if not part:
                raise Lost(self._ended())
            self._received += part
        line, found, rest = self._received.partition(b"\n")
        if not found:
            return None
        self._received = rest
        return line

    def _ended(self) -> str:
        try:
            status = self._running.wait(1.0)
        except subprocess.TimeoutExpired:
            return "the camera's process closed its pipe"
        return f"the camera's process ended by itself (status {status})"


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0


def _to_the_log(pipe: IO[bytes]) -> None:
    with pipe:
        for line in pipe:
            _log.info("%s", plain(line.decode("utf-8", "replace").rstrip()))
