"""A real terminal to run the dashboard in: a pseudo-terminal of the standard library."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any, Self

ROOT = Path(__file__).parents[2]
PROGRAM = "import sys, pathlib; from tether.dashboard.run import run; "
RUN = PROGRAM + "sys.exit(run(pathlib.Path(sys.argv[1])))"


class Terminal:
    """Runs a Python program on a terminal of `size` (columns, lines) and keeps what it writes.

    The terminal lives on after the program, so that its modes can be looked at.
    """

    def __init__(
        self,
        *arguments: str,
        program: str = RUN,
        size: tuple[int, int] = (80, 24),
        environment: Mapping[str, str] | None = None,
    ) -> None:
        self.written = b""
        self.master, self.slave = pty.openpty()
        columns, lines = size
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        self.modes = self._modes()
        kept = {"PATH", "HOME", "LANG", "LC_ALL", "VIRTUAL_ENV"}
        env = {name: value for name, value in os.environ.items() if name in kept}
        env |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "PYTHONPATH": str(ROOT)}
        self.began = time.perf_counter()
        self.pid = os.fork()
        if self.pid == 0:
            try:
                os.login_tty(self.slave)
                # Whoever runs the tests may come from nohup; a terminal's program does not.
                signal.signal(signal.SIGHUP, signal.SIG_DFL)
                os.execve(
                    sys.executable,
                    [sys.executable, "-c", program, *arguments],
                    env | dict(environment or {}),
                )
            finally:
                os._exit(127)  # or this copy of the tests would go on beside the first
        self.status: int | None = None
        self.processor_s = 0.0  # spent by the program until it was ended from outside

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.status is None:
            os.kill(self.pid, signal.SIGKILL)
            used = os.wait4(self.pid, 0)[2]
            self.processor_s = used.ru_utime + used.ru_stime
        for end in (self.master, self.slave):
            if end >= 0:
                os.close(end)

    def hang_up(self) -> None:
        """Take the terminal away, as a window that is closed does."""
        for end in (self.master, self.slave):
            os.close(end)
        self.master = self.slave = -1

    def type(self, keys: str) -> None:
        """Press keys."""
        os.write(self.master, keys.encode())

    def wait_for(self, *needles: str, within_s: float = 8.0) -> float:
        """Return after how many seconds all of `needles` have been written since the last call.

        Raises
        ------
        TimeoutError
            They were not.
        """
        began = time.perf_counter()
        seen = b""
        while not all(needle.encode() in seen for needle in needles):
            if time.perf_counter() - began > within_s:
                raise TimeoutError(f"{needles} not in {seen[-4000:]!r}")
            seen += self.read(0.05)
        return time.perf_counter() - began

    def read(self, wait_s: float) -> bytes:
        """Return what is written within `wait_s`, as soon as there is any."""
        if not select.select([self.master], [], [], wait_s)[0]:
            return b""
        try:
            read = os.read(self.master, 1 << 16)
        except OSError:
            read = b""
        self.written += read
        return read

    def ended(self, within_s: float = 8.0) -> int:
        """Return the program's exit status, negative for a signal."""
        until = time.perf_counter() + within_s
        while time.perf_counter() < until:
            if self.master >= 0:
                self.read(0.02)
            else:
                time.sleep(0.02)
            found, status = os.waitpid(self.pid, os.WNOHANG)
            if found:
                self.status = os.waitstatus_to_exitcode(status)
                while self.master >= 0 and self.read(0.05):
                    pass
                return self.status
        raise TimeoutError("the program did not end")

    @property
    def restored(self) -> bool:
        """Whether keyboard and screen are as they were: modes, main screen, cursor shown."""
        on, off = self.written.rfind(b"\x1b[?1049h"), self.written.rfind(b"\x1b[?1049l")
        hidden, shown = self.written.rfind(b"\x1b[?25l"), self.written.rfind(b"\x1b[?25h")
        return self._modes() == self.modes and off > on and shown > hidden

    def _modes(self) -> list[Any]:
        return termios.tcgetattr(self.slave)
