"""A command of one's own: it gets the frame's facts on standard input."""

from __future__ import annotations

import logging
import os
import shutil
from pathlib import Path

from tether.alerts.channel import Telling
from tether.alerts.guarded import Guarded
from tether.plain import plain

_log = logging.getLogger(__name__)

# Of what it prints, to the log.
_MOST_LINES, _LONGEST = 20, 200

# Enough to find programs, speak the user's language, and reach the desktop's sound and notices.
_HANDED_ON = (
    "PATH", "HOME", "USER", "LOGNAME", "LANG", "LC_ALL", "LC_CTYPE", "TZ", "TMPDIR",
    "DISPLAY", "WAYLAND_DISPLAY", "XDG_RUNTIME_DIR", "DBUS_SESSION_BUS_ADDRESS", "SYSTEMROOT",
)  # fmt: skip


class Command:
    """Starts a program, without a shell.

    Parameters
    ----------
    command
        The program and its arguments.
    seconds
        How long it may take.
    """

    def __init__(self, command: list[str], seconds: float) -> None:
        self._command = command
        self._seconds = seconds
        self._guarded = Guarded()
        self.name = f"command {plain(Path(command[0]).name)}"

    def send(self, message: Telling) -> str | None:
        """Run it with the contract's line on standard input; what it prints goes to the log."""
        environment = {key: os.environ[key] for key in _HANDED_ON if key in os.environ}
        report = self._guarded.run(
            self._command,
            message.line + "\n",
            seconds=self._seconds,
            environment=environment
            | {"TETHER_ALERT": message.kind, "TETHER_MORE": str(message.more)},
        )
        for line in report.output.splitlines()[:_MOST_LINES]:
            _log.info("%s: %s", self.name, plain(line[:_LONGEST]))
        return report.why

    def check(self) -> str | None:
        """Return why the program could not be run, or None."""
        program = self._command[0]
        if Path(program).is_dir():
            return "is a folder, not a program"
        if os.path.dirname(program) and not Path(program).exists():  # noqa: PTH120
            return "does not exist"
        if shutil.which(program) is None:
            return "is no program that can be run from here"
        return None

    def end(self) -> None:
        """End the run under way."""
        self._guarded.end()

    def close(self) -> None:
        """End the run under way, and start none any more."""
        self._guarded.close()
