"""The terminal under the screen: lost without harm, and given back as it was."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import IO, Any

from textual.driver import Driver

try:
    import termios
except ImportError:  # Windows, where the toolkit restores the console by itself
    termios = None  # type: ignore[assignment]

# Bracketed paste, mouse, focus and key reports off; line wrap, main screen and cursor back.
_LEAVE = (
    "\x1b[?2004l\x1b[?1000l\x1b[?1003l\x1b[?1006l\x1b[?1015l\x1b[?1016l\x1b[?2048l\x1b[<u"
    "\x1b[?1049l\x1b[?25h\x1b[?1004l\x1b[?7h\x1b[0m"
)


class Steady:
    """A file that swallows what a terminal that went away refuses.

    The toolkit writes from a thread of its own; were that to die of an error, whoever writes next
    would wait for it for ever.
    """

    def __init__(self, file: IO[str]) -> None:
        self._file = file

    def write(self, text: str) -> int:
        """Write, or not."""
        with suppress(OSError, ValueError):
            self._file.write(text)
        return len(text)

    def flush(self) -> None:
        """Flush, or not."""
        with suppress(OSError, ValueError):
            self._file.flush()

    def fileno(self) -> int:
        """Descriptor of the file."""
        return self._file.fileno()


def screen_file() -> IO[str] | None:
    """Where the screen is drawn: standard error, or standard output when that is no terminal."""
    for file in (sys.__stderr__, sys.__stdout__):
        with suppress(ValueError, AttributeError):
            if file is not None and file.isatty():
                return file
    return None


def driver(file: IO[str]) -> type[Driver] | None:
    """The toolkit's driver, drawing on `file`; None leaves the choice to the toolkit."""
    try:
        from textual.drivers.linux_driver import LinuxDriver
    except ImportError:
        return None

    class TerminalDriver(LinuxDriver):
        def __init__(self, *args: Any, **options: Any) -> None:
            super().__init__(*args, **options)
            self._file = Steady(file)  # type: ignore[assignment]

    return TerminalDriver


@contextmanager
def restored(file: IO[str]) -> Iterator[None]:
    """Put the terminal's modes back at the end; after an exception leave its other screen, too."""
    keyboard = sys.__stdin__
    modes = None
    if termios is not None and keyboard is not None:
        with suppress(termios.error, ValueError):
            modes = termios.tcgetattr(keyboard.fileno())
    try:
        yield
    except BaseException:
        Steady(file).write(_LEAVE)
        Steady(file).flush()
        raise
    finally:
        if modes is not None and keyboard is not None:
            with suppress(termios.error, ValueError):
                termios.tcsetattr(keyboard.fileno(), termios.TCSANOW, modes)


@contextmanager
def asked_to_leave(leave: Callable[[int], None]) -> Iterator[None]:
    """Call `leave` with 128 + n on signal n that would end the process; a second one ends it."""
    before: dict[int, Any] = {}

    def on_signal(number: int, frame: object) -> None:
        signal.signal(number, signal.SIG_DFL)
        leave(128 + number)

    for name in ("SIGTERM", "SIGHUP", "SIGINT"):
        number = getattr(signal, name, None)
        # Ignored means that whoever started us wants it so: nohup does.
        if number is None or signal.getsignal(number) is signal.SIG_IGN:
            continue
        with suppress(ValueError):  # not the main thread
            before[number] = signal.signal(number, on_signal)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
