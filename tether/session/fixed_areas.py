"""The fixed area of each setup: what was drawn on a screen, else the settings' own."""

from __future__ import annotations

import logging
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from tether.frame.anchor import Anchor, coded, decoded
from tether.frame.fixed import placed
from tether.session import laid as areas
from tether.session.laid import Laid
from tether.session.reader import Reader
from tether.session.schema import RecordError
from tether.session.wanted import Put, Wanted, at_once
from tether.session.writing import Writing

_log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Held:
    """What is known of one setup's area, as of the record's change of this number."""

    seen: int = -1
    laid: Laid | None = None
    anchor: Anchor | None = None


class FixedAreas:
    """Reads the record when it has changed; any worker may ask before each frame.

    Setups go by their id in the record, None while there is none, and each camera has its own: what
    was laid over one's frame is nothing to follow in another's.

    Parameters
    ----------
    record
        The writing end of the session's record.
    put
        Takes what is to be written to it.
    """

    def __init__(self, record: Writing, put: Put = at_once) -> None:
        self._record, self._put, folder = record, put, record.folder
        self._reader = Reader(folder)
        self._lock = threading.Lock()
        self._changes = 0
        self._held: dict[tuple[int | None, str | None], _Held] = {}

    def now(
        self, setup: int | None, fixed: Sequence[int | float] | None, camera: str | None = None
    ) -> Anchor | None:
        """The area to judge a setup's next frame by, over the frame that it was laid over.

        `fixed` is the one of its settings, if they have one. While the record cannot be read it is
        what it was.
        """
        with self._lock:
            held = self._held.setdefault((setup, camera), _Held())
            try:
                if self._reader.changed():
                    self._changes += 1
                if held.seen != self._changes:
                    self._take(held, self._found(setup, fixed, camera))
                    held.seen = self._changes
            except RecordError as problem:
                _log.info("%s", problem)
            return held.anchor

    def lay(self, anchor: Anchor, setup: int | None, camera: str | None = None) -> None:
        """Have later frames follow the settings' area from this frame on, unless one was first."""
        with self._lock:
            held = self._held.setdefault((setup, camera), _Held())
            if held.anchor is not None:
                return
            held.anchor = anchor
        self._put(Wanted(partial(self._write, anchor, setup, camera)))

    def _write(self, anchor: Anchor, setup: int | None, camera: str | None) -> None:
        one = Laid(anchor.rect, anchor.size, anchor.frame, drawn=False)
        with self._lock:
            held = self._held[setup, camera]
            if held.anchor is not anchor:
                return  # somebody has drawn one since
            try:
                revision = areas.put(self._record, one, coded(anchor.small), setup, camera)
            except RecordError as problem:
                _log.info("%s", problem)  # known to this watch alone
            else:
                held.laid = Laid(one.rect, one.size, one.frame, one.drawn, revision)

    def close(self) -> None:
        """Let go of the record."""
        with self._lock:
            self._reader.close()

    def _found(
        self, setup: int | None, fixed: Sequence[int | float] | None, camera: str | None
    ) -> Laid | None:
        drawn = self._reader.laid(setup, camera)
        if drawn is not None or fixed is None:
            return drawn
        given = self._reader.laid(setup, camera, drawn=False)
        # Another one than the settings name now is of an earlier watch.
        if given is not None and placed(fixed, *given.size) == given.rect:
            return given
        return None

    def _take(self, held: _Held, found: Laid | None) -> None:
        if found is None:
            # What could not be put into the record still holds.
            if held.laid is not None:
                held.laid = held.anchor = None
        elif found != held.laid:
            try:
                small = decoded(self._reader.laid_over(found), found.size)
            except ValueError as problem:
                _log.warning("the fixed area in the record is damaged: %s", problem)
                held.anchor = None
            else:
                held.anchor = Anchor(found.rect, found.size, small, found.frame, found.drawn)
            held.laid = found
