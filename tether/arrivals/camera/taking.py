"""Taking frames over one connection: what is missing first, then each frame as it is taken."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable

from tether.arrivals.camera import naming
from tether.arrivals.camera.attempts import MOST, Attempts
from tether.arrivals.camera.dials import Dials
from tether.arrivals.camera.folder import DiskFull, SessionFolder, Untaken
from tether.arrivals.camera.messages import Found, Happened, Kind, OnCard, Refused, Why
from tether.arrivals.camera.process import CameraProcess
from tether.arrivals.camera.waiting import Waiting
from tether.frame.kinds import is_picture
from tether.plain import plain

_log = logging.getLogger(__name__)

WAIT_S = 0.2
"""How long one request waits for events; a command line's Ctrl-C waits as long at most."""

PROBE_S = 5.0
"""How often an idle camera is asked whether it still answers: a dead network link is silent."""

_DISK_S = 2.0
_CLOCK_S = 2.0
"""How far clocks are to be trusted: some cards keep the time in steps of two seconds."""

_BUSY_S = 0.2
_MOST_BUSY = 30
_APPLE_DOUBLE = "._"
"""What macOS puts beside a file on a card, with the file's own ending (RFC 1740)."""

_LOOKED_THROUGH = OnCard("", "", 0, 0)


class Anew(Exception):
    """The camera is well, but its card has to be looked through over a new connection."""


class Taking:
    """What is known of the camera beyond one connection, and how frames are taken over it.

    Parameters
    ----------
    folder
        Where they go.
    show
        Is told how it goes.
    warn
        Is told what somebody may want to do something about.
    dials
        Hears of what the camera is set to.
    keep, earlier
        As `CameraSource` takes them.
    """

    def __init__(
        self,
        folder: SessionFolder,
        show: Callable[[str], None],
        warn: Callable[[str], None],
        dials: Dials,
        *,
        keep: bool,
        earlier: bool,
    ) -> None:
        self.connected = False
        self._folder = folder
        self._show = show
        self._warn = warn
        self._dials = dials
        self._keep = keep
        self._earlier = earlier
        self._waiting = Waiting()
        self._attempts = Attempts()
        self._said: set[tuple[str, OnCard | str]] = set()
        self._camera = ""
        self._catching = 0
        self._fetched = 0
        self._busy = 0
        self._free: int | None = None
        self._fuller = False
        self._card_full = self._disk_full = False

    def take(self, process: CameraProcess, camera: Found) -> None:
        """Take frames until the connection ends; a network's may do so without a sign.

        Raises
        ------
        Lost, Refused, Anew
            It has ended, or is to begin anew.
        LedgerError, OSError
            Nothing can be stored.
        """
        self.connected = True
        self._camera = camera.key
        self._look_through(process, camera)
        probe = time.monotonic() + PROBE_S
        while True:
            if not len(self._waiting):
                self._catching = 0
                self._show(self._idle())
            for happened in process.wait(0.0 if len(self._waiting) else WAIT_S):
                self._hear(happened)
            if (file := self._waiting.take()) is not None:
                self._fetch(process, file)
                continue
            self._dials.look(process)
            now = time.monotonic()
            if camera.network and now >= probe:
                self._compare_free(process.probe())
                probe = now + PROBE_S
            if self._attempts.again():
                raise Anew

    def _compare_free(self, free: int | None) -> None:
        """Begin anew where the card is fuller, and nothing was announced: an event was lost."""
        if free is None or self._free is None or free >= self._free:
            self._free, self._fuller = free, False
        elif self._fuller:
            raise Anew
        else:
            self._fuller = True  # it may be writing what it is about to announce

    def _look_through(self, process: CameraProcess, camera: Found) -> None:
        """Compare the card with what was dealt with, and put what is missing in line."""
        self._waiting.clear()
        self._free = None
        self._card_full = False
        on_card = sorted(process.files(), key=lambda file: (file.time, file.folder, file.name))
        known = self._folder.known(self._camera)
        if _LOOKED_THROUGH not in known:
            before = [] if self._earlier else self._before_the_session(on_card, camera)
            self._folder.pass_over(self._camera, [_LOOKED_THROUGH, *before])
        for file in on_card:
            if file not in known or (self._earlier and known[file] is None):
                self._take_up(file)
            elif not self._keep and known[file] is not None:
                self._delete(process, file)
        self._catching, self._fetched = len(self._waiting), 0

    def _before_the_session(self, on_card: list[OnCard], camera: Found) -> list[OnCard]:
        """Return what was taken before the session began; by its own clock, or ours if it hides it.

        A camera whose clock is late, and hidden, has what it took before it was first connected
        counted as earlier; one that is early has too much fetched, which loses nothing.
        """
        began = self._folder.began + (camera.ahead_s or 0) - _CLOCK_S
        return [file for file in on_card if file.time < began]

    def _hear(self, happened: Happened) -> None:
        self._free = None
        if happened.kind is Kind.CARD_FULL:
            self._card_full = True
            self._say("", "the camera's card is full", once=False)
        elif happened.kind is Kind.SETTING:
            self._dials.changed()
        elif happened.kind is Kind.FOLDER:
            self._say("", f"the camera began a folder: {happened.name}")
        elif happened.file is None:
            self._say("", f"{happened.name} was announced and is not described: looking again")
            raise Anew
        elif self._is_new(happened.file, added=happened.kind is Kind.FILE):
            self._take_up(happened.file)
        else:
            _log.info("%s was announced again", plain(happened.name))

    def _is_new(self, file: OnCard, *, added: bool) -> bool:
        known = self._folder.known(self._camera)
        # Taken while the card was looked through for the first time, it counts as earlier there.
        return file not in known or (added and known[file] is None)

    def _take_up(self, file: OnCard) -> None:
        """Put a file in line, or say why not."""
        if not is_picture(naming.safe(file.name)) or file.name.startswith(_APPLE_DOUBLE):
            if file not in self._folder.known(self._camera):
                self._say(file, f"{file.name} is no picture: it stays on the card")
                self._folder.pass_over(self._camera, [file])
        elif file.size <= 0:
            self._say(file, f"{file.name} is empty on the card: not fetched")
            self._attempts.give_up(file)
        elif not self._attempts.given_up(file):
            self._waiting.add(file)

    def _fetch(self, process: CameraProcess, file: OnCard) -> None:
        try:
            self._folder.make_sure_of_room(file)
        except DiskFull as problem:
            self._waiting.put_back(file)
            if not self._disk_full:
                self._say("", f"the disk is full: {problem}", once=False)
            self._show(f"the disk is full, frames stay on the card: {problem}")
            self._disk_full = True
            time.sleep(_DISK_S)
            return
        self._disk_full = False
        self._fetched += 1
        self._tell(file, 0)
        try:
            self._folder.fetch(self._camera, file, process.fetch, lambda n: self._tell(file, n))
        except Untaken as problem:
            self._attempts.give_up(file)
            self._say(file, f"{file.name} is not taken: {problem}")
        except Refused as problem:
            self._refused(process, file, problem)
        else:
            self._attempts.done(file)
            self._busy = 0
            if not self._keep:
                self._delete(process, file)

    def _refused(self, process: CameraProcess, file: OnCard, problem: Refused) -> None:
        """Find out whether the file or the connection is at fault."""
        process.probe()
        if problem.why is Why.BUSY and self._busy < _MOST_BUSY:
            self._busy += 1
            self._waiting.put_back(file)
            time.sleep(_BUSY_S)
            return
        if self._attempts.failed(file) >= MOST:
            self._say(file, f"{file.name} was announced and is not given: {problem}")
        raise Anew from problem

    def _delete(self, process: CameraProcess, file: OnCard) -> None:
        try:
            if self._folder.has(self._camera, file):
                process.delete(file)
        except (Refused, OSError) as problem:
            self._say(file, f"{file.name} is not taken off the card: {problem}")

    def _tell(self, file: OnCard, came: int) -> None:
        doing = "fetching"
        if self._catching:
            doing = f"catching up {self._fetched} of {self._catching}:"
        more = f", {len(self._waiting)} wait" if len(self._waiting) else ""
        much = f", {came / 1e6:.0f} of {file.size / 1e6:.0f} MB" if came else ""
        self._show(f"{doing} {file.name}{much}{more}")

    def _idle(self) -> str:
        return f"connected: {self._camera}" + (", its card is full" if self._card_full else "")

    def _say(self, about: OnCard | str, line: str, *, once: bool = True) -> None:
        if not once or (line, about) not in self._said:
            self._said.add((line, about))
            self._warn(line)
