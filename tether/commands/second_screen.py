"""The second screen's page in a process of its own: neither it nor the watch can stop the other."""

from __future__ import annotations

import contextlib
import json
import secrets
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import IO

from tether.commands.kept import Kept
from tether.dashboard.invitation import Invitation
from tether.plain import plain
from tether.second_screen.address import LOOPBACK, PORT
from tether.settings import Settings

_AGAIN_S = 1.0
_LEAVING_S = 3.0


class SecondScreen(Kept):
    """Keeps the page of `folder`'s session served while the context is open.

    The process ends when this one does, however it ends: it holds the other end of a pipe. Should
    it end by itself, another one lets the same screens in, for it gets the same secret.

    Parameters
    ----------
    folder, host, port
        The session's folder; where to serve.
    picture
        Whether pictures may leave this computer.
    told
        Called in a thread with each change of how it is doing.
    """

    def __init__(
        self,
        folder: Path,
        host: str,
        port: int,
        *,
        picture: bool,
        told: Callable[[Invitation], None] = lambda _: None,
    ) -> None:
        asked = {
            "folder": str(folder.absolute()),
            "host": host,
            "port": port,
            "picture": picture,
            "secret": secrets.token_hex(32),
        }
        self._asked = json.dumps(asked).encode() + b"\n"
        self._told = told
        self._now = Invitation()
        super().__init__("second-screen", _LEAVING_S)

    def invitation(self) -> Invitation:
        """How a screen is let in now."""
        return self._now

    def line(self) -> str | None:
        """What stands in its way, if anything does."""
        return f"second screen: {self._now.trouble}" if self._now.trouble else None

    def _say(self, now: Invitation) -> None:
        if now != self._now:
            self._now = now
            self._told(now)

    def _keep(self) -> None:
        while not self._closing.is_set():
            status, words = self._once()
            if self._closing.is_set():
                return
            last = f": {words}" if words else ""
            why = f"it ended by itself (status {status}{last}) and is started again"
            self._say(Invitation(trouble=why))
            self._closing.wait(_AGAIN_S)

    def _once(self) -> tuple[int, str]:
        """Run it to its end; its exit status, and the last it said."""
        words = ""
        with subprocess.Popen(
            # -P: whoever starts this inside a hot folder must not import what a stranger put there.
            [sys.executable, "-P", "-m", "tether.second_screen"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            start_new_session=True,  # the terminal's Ctrl-C is not for it
        ) as running:
            self._running = running
            assert running.stdin is not None
            assert running.stdout is not None
            if self._closing.is_set():
                running.stdin.close()
            else:
                _given(running.stdin, self._asked)
            for line in running.stdout:
                try:
                    self._say(Invitation(**json.loads(line)))
                except (ValueError, TypeError):  # no word of its own: a failure's last lines
                    words = plain(line.decode("utf-8", "replace").strip()) or words
            return running.wait(), words


def _given(pipe: IO[bytes], asked: bytes) -> None:
    with contextlib.suppress(OSError):  # it has died already, which is told in a moment
        pipe.write(asked)
        pipe.flush()


def second_screen_of(
    folder: Path,
    settings: Settings,
    host: str | None,
    port: int | None,
    told: Callable[[Invitation], None] = lambda _: None,
) -> SecondScreen:
    """The page as the command line and the settings ask for it."""
    picture = settings.second_screen.picture
    return SecondScreen(folder, host or LOOPBACK, port or PORT, picture=picture, told=told)


def on_stderr() -> Callable[[Invitation], None]:
    """Tell of address, code and trouble on standard error, each once, for want of a dashboard."""
    before = Invitation()

    def told(now: Invitation) -> None:
        nonlocal before
        words = ""
        if now.trouble and now.trouble != before.trouble:
            words = now.trouble
        elif now.address and (now.address, now.code) != (before.address, before.code):
            words = now.address + (f" code {now.spoken} ({now.link})" if now.code else "")
        before = now
        if words:
            print(f"tether: second screen: {words}", file=sys.stderr, flush=True)

    return told
