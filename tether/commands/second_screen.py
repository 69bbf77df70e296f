"""The second screen's page in a process of its own: neither it nor the watch can stop the other."""

from __future__ import annotations

import json
import secrets
import sys
from collections.abc import Callable
from pathlib import Path

from tether.commands.kept import Kept
from tether.dashboard.invitation import Invitation
from tether.second_screen.address import LOOPBACK, PORT
from tether.settings import Settings

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
        self._told = told
        self._now = Invitation()
        super().__init__(
            "second-screen",
            "it",
            # -P: whoever starts this inside a hot folder must not import what a stranger put there.
            [sys.executable, "-P", "-m", "tether.second_screen"],
            _LEAVING_S,
            given=json.dumps(asked).encode() + b"\n",
            listening="both",
        )

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

    def _heard(self, line: str) -> str:
        try:
            self._say(Invitation(**json.loads(line)))
        except (ValueError, TypeError):  # no word of its own: a failure's last lines
            return line.strip() or self._words
        return self._words

    def _trouble(self, why: str, pause_s: float) -> None:
        self._say(Invitation(trouble=why))


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
