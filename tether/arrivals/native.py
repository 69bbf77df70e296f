"""Folder events as the operating system tells them, through watchdog."""

from __future__ import annotations

import contextlib
import logging
import os
import sys
import warnings
from collections.abc import Callable
from pathlib import Path

from watchdog.events import (
    DirCreatedEvent,
    DirDeletedEvent,
    DirMovedEvent,
    FileAttribEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileModifiedEvent,
    FileMovedEvent,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver

from tether.arrivals.events import Event, EventsLost, FileGone, FileSeen, FolderSeen

_log = logging.getLogger(__name__)

# Without this, what watchdog logs while it is torn down would be printed over the screen.
logging.getLogger("watchdog").addHandler(logging.NullHandler())

_INOTIFY = "watchdog.observers.inotify_c"
"""The logger whose warning is the only sign that the kernel dropped events."""

_HEARD: list[type[FileSystemEvent]] = [
    FileCreatedEvent,
    FileClosedEvent,
    FileMovedEvent,
    FileDeletedEvent,
    FileAttribEvent,  # a time of change that was set
    DirCreatedEvent,
    DirMovedEvent,
    DirDeletedEvent,
]
if sys.platform != "linux":  # Elsewhere no close is told, and a file saved anew is only modified.
    _HEARD.append(FileModifiedEvent)


class NativeEvents:
    """The events of one folder and all below it; see `tether.arrivals.events.Events`."""

    def __init__(self) -> None:
        self._observer: BaseObserver | None = None
        self._overflow: _Overflow | None = None

    def start(self, folder: Path, tell: Callable[[Event], None]) -> None:
        """Begin to tell of the folder, from watchdog's thread."""
        # watchdog warns whenever a subfolder fills at once, and does the right thing all the same.
        warnings.filterwarnings("ignore", message="Callback with id", category=RuntimeWarning)
        # inotify does not follow a link, and macOS tells real paths whatever was asked for.
        real = os.path.realpath(folder)
        self._observer = _new_observer()
        try:
            self._observer.schedule(
                _Handler(real, os.fspath(folder), tell), real, recursive=True, event_filter=_HEARD
            )
            self._observer.start()
        except BaseException:
            self.stop()
            raise
        self._overflow = _Overflow(tell)
        logging.getLogger(_INOTIFY).addHandler(self._overflow)

    def stop(self) -> None:
        """End, and give back watches and threads."""
        if self._overflow is not None:
            logging.getLogger(_INOTIFY).removeHandler(self._overflow)
        observer, self._observer = self._observer, None
        if observer is None:
            return
        try:
            observer.stop()
        except Exception:
            _log.exception("the folder's observer did not stop cleanly")
        with contextlib.suppress(RuntimeError):  # It was never started.
            observer.join(2.0)

    def alive(self) -> bool:
        """Return whether watchdog's threads are all there: one dies with the folder it watched."""
        observer = self._observer
        return (
            observer is not None
            and observer.is_alive()
            and all(emitter.is_alive() for emitter in observer.emitters)
        )


def _new_observer() -> BaseObserver:
    if sys.platform == "linux":
        with contextlib.suppress(ImportError):
            from watchdog.observers.inotify import InotifyObserver

            # Full events tell a file moved in from outside from one that is being written.
            return InotifyObserver(generate_full_events=True)
    return Observer()


class _Handler(FileSystemEventHandler):
    def __init__(self, real: str, folder: str, tell: Callable[[Event], None]) -> None:
        self._real = real
        self._folder = folder
        self._tell = tell

    def dispatch(self, event: FileSystemEvent) -> None:
        try:
            self._pass_on(event)
        except Exception:  # An exception here would end the observer's thread.
            _log.exception("an event of the folder was not understood: %r", event)

    def _pass_on(self, event: FileSystemEvent) -> None:
        moved = isinstance(event, FileMovedEvent | DirMovedEvent)
        here = self._path(event.dest_path if moved else event.src_path)
        if isinstance(event, DirDeletedEvent):
            self._tell(EventsLost())  # a folder that was moved away takes its files along untold
        elif isinstance(event, FileDeletedEvent):
            if here is not None:
                self._tell(FileGone(here))
        elif event.is_directory:
            if here is not None:
                self._tell(FolderSeen(here))
        elif here is not None:
            self._tell(FileSeen(here, closed=moved or isinstance(event, FileClosedEvent)))
        # Where it is now comes before where it was: what is the same file is known to be by then.
        was = self._path(event.src_path) if isinstance(event, FileMovedEvent) else None
        if was is not None:
            self._tell(FileGone(was))

    def _path(self, told: bytes | str) -> str | None:
        path = os.fsdecode(told)
        if not path or not path.startswith(self._real):
            return None
        return self._folder + path[len(self._real) :]


class _Overflow(logging.Handler):
    def __init__(self, tell: Callable[[Event], None]) -> None:
        super().__init__(logging.WARNING)
        self._tell = tell

    def emit(self, record: logging.LogRecord) -> None:
        try:
            self._tell(EventsLost())
        except Exception:
            self.handleError(record)
