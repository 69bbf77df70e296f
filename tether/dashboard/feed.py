"""Reads the record in a thread of its own: a share that hangs must not freeze the keys."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Event, Thread
from typing import TYPE_CHECKING

from textual.message import Message

from tether.dashboard.messages import (
    Beside,
    Broken,
    Changed,
    Detail,
    Progressed,
    Trouble,
    Watched,
)
from tether.session import schema
from tether.session.frame_evidence import FrameEvidence
from tether.session.reader import Reader, Row
from tether.session.schema import RecordError

if TYPE_CHECKING:
    from tether.dashboard.messages import Grey

TICK_S = 0.1
WATCHED_S = 1.0
# A crop of ours is a few hundred pixels wide; anything far beyond is a damaged record.
LARGEST_CROP_PX = 4_000_000
COUNTS_SHARE = 4  # of the time that counting the shot list takes, left to all else


class Feed(Thread):
    """Polls the record of `folder` and hands every change to `post`."""

    def __init__(self, folder: Path, post: Callable[[Message], object]) -> None:
        super().__init__(name="dashboard-feed", daemon=True)
        self.beat = time.monotonic()
        self.folder = folder
        self._post = post
        self._reader = Reader(folder)
        self._asked: SimpleQueue[Row | None] = SimpleQueue()
        self._ended = Event()
        self._inode: tuple[int, int] | None = None
        self._last: Row | None = None
        self._names: dict[int, str] = {}
        self._behind = False
        self._uncounted, self._count_at = False, 0.0
        self._words = ""

    def ask(self, row: Row) -> None:
        """Ask for a `Detail` of the frame."""
        self._asked.put(row)

    def end(self) -> None:
        """Stop soon."""
        self._ended.set()
        self._asked.put(None)

    def run(self) -> None:
        """Read until told to end."""
        try:
            self._loop()
        except Exception as problem:  # whoever runs the screen must hear of it
            self._post(Broken(problem))
        finally:
            self._reader.close()

    def _loop(self) -> None:
        tick = watched = time.monotonic()
        while not self._ended.is_set():
            now = self.beat = time.monotonic()
            if now >= watched:
                self._post(Watched(self._reader.watched()))
                watched = now + WATCHED_S
            if now >= tick:
                self._poll()
                tick = now + TICK_S
            for row in self._wanted(max(0.0, tick - time.monotonic())).values():
                self._post(self._detail(row))

    def _wanted(self, wait_s: float) -> dict[int, Row]:
        # Keys held down ask faster than anybody can look: of a queue the last two are enough,
        # the newest frame and the selected one.
        found: dict[int, Row] = {}
        try:
            row = self._asked.get(timeout=wait_s)
            while True:
                if row is not None:
                    found.pop(row.id, None)
                    found[row.id] = row
                row = self._asked.get_nowait()
        except Empty:
            return dict(list(found.items())[-2:])

    def _poll(self) -> None:
        words = ""
        try:
            self._read()
            self._count()
        except RecordError as problem:
            self._behind = True
            words = self._in_words(problem)
        except (ValueError, TypeError) as problem:  # somebody else's bytes in our columns
            words = f"the record cannot be understood: {problem}"
        if words != self._words:
            self._words = words
            self._post(Trouble(words))

    def _read(self) -> None:
        inode = schema.inode(self._reader.path)
        changed = self._reader.changed()
        if not (changed or self._behind or inode != self._inode):
            return
        anew = inode != self._inode
        rows, gone = ([], set()) if anew else self._changes()
        if anew or rows is None:
            rows = self._reader.rows_since(0)
            present = {row.id for row in rows}
            gone = set() if anew else self._names.keys() - present
        newest = rows[-1] if rows else self._last
        whose = (newest.setup, newest.camera) if newest is not None else ()
        state, laid = self._reader.state(), self._reader.laid(*whose)
        if anew:
            self._names.clear()
            self._last = None
        for number in gone:
            self._names.pop(number, None)
        self._names.update((row.id, row.name) for row in rows)
        self._last = rows[-1] if rows else self._last
        self._inode, self._behind = inode, False
        self._post(Changed(rows, gone, anew, state, laid))
        self._uncounted = True

    def _count(self) -> None:
        # A list of thousands takes a while to count: the keys must not wait for that all the time.
        began = time.monotonic()
        if not self._uncounted or began < self._count_at:
            return
        self._post(Progressed(self._reader.progress(), self._reader.leeway()))
        self._uncounted = False
        now = time.monotonic()
        self._count_at = now + COUNTS_SHARE * (now - began)

    def _changes(self) -> tuple[list[Row] | None, set[int]]:
        # Ask for the last change that is known once more. Should it not be there, then its frame
        # has left the record, and other changes may have been numbered anew: read all, None.
        if self._last is None:
            return self._reader.rows_since(0), set()
        rows = self._reader.rows_since(self._last.revision - 1)
        if all(row.id != self._last.id for row in rows):
            return None, set()
        gone = self._reader.removed_since(self._last.revision) if self._last else []
        return [row for row in rows if row != self._last], set(gone) & self._names.keys()

    def _detail(self, row: Row) -> Detail:
        reader = self._reader
        try:
            grey, words = _decoded(reader.crop(row.id))
            facts, evidence = reader.frame(row.id), reader.evidence(row.id)
            said, chosen = reader.overrule(row.id), reader.chosen_as_reference(row.id)
            reference = reader.reference_of(row.id)
            beside = Beside(reference.name, *_decoded(reference.crop)) if reference else None
        except (RecordError, ValueError, TypeError) as problem:
            words = f"the record cannot be read: {problem}"
            return Detail(row.id, row.revision, {}, FrameEvidence(), None, words)
        return Detail(row.id, row.revision, facts, evidence, grey, words, said, beside, chosen)

    def _in_words(self, problem: RecordError) -> str:
        if not self.folder.is_dir():
            return f"the folder is gone: {self.folder}"
        if schema.inode(self._reader.path) is None:
            return "no record here yet: it begins when a watch runs on this folder"
        # The folder is told beside it, and what is wrong must fit on the line.
        return f"the record cannot be read: {problem}".replace(f"{self._reader.path}: ", "")


def _decoded(jpeg: bytes) -> tuple[Grey | None, str]:
    if not jpeg:
        return None, "no picture was kept of this frame"
    import simplejpeg

    try:
        height, width, *_ = simplejpeg.decode_jpeg_header(jpeg)
        if height * width > LARGEST_CROP_PX:
            return None, f"the picture kept is too large to be one of ours: {width} × {height}"
        grey: Grey = simplejpeg.decode_jpeg(jpeg, colorspace="gray")[:, :, 0]
    except ValueError as problem:
        return None, f"the picture kept cannot be decoded: {problem}"
    return grey, ""
