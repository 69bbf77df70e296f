"""The fixed area of the moment: what was drawn on a screen, else the settings' own."""

from __future__ import annotations

import logging
import threading
from collections.abc import Sequence
from pathlib import Path

from tether.frame.anchor import Anchor, coded, decoded
from tether.frame.fixed import placed
from tether.session import laid as areas
from tether.session.laid import Laid
from tether.session.reader import Reader
from tether.session.schema import RecordError

_log = logging.getLogger(__name__)


class FixedAreas:
    """Reads the record when it has changed; any worker may ask before each frame.

    Parameters
    ----------
    folder
        The session's.
    fixed
        The fixed area of the settings, if there is one.
    """

    def __init__(self, folder: Path, fixed: Sequence[int | float] | None) -> None:
        self._folder = folder
        self._fixed = fixed
        self._reader = Reader(folder)
        self._lock = threading.Lock()
        self._laid: Laid | None = None
        self._anchor: Anchor | None = None
        self._behind = True

    def now(self) -> Anchor | None:
        """The area to judge the next frame by, over the frame that it was laid over.

        While the record cannot be read it is what it was.
        """
        with self._lock:
            try:
                if self._reader.changed() or self._behind:
                    self._behind = True
                    self._take(self._found())
                    self._behind = False
            except RecordError as problem:
                _log.info("%s", problem)
            return self._anchor

    def lay(self, anchor: Anchor) -> None:
        """Have later frames follow the settings' area from this frame on, unless one was first."""
        with self._lock:
            if self._anchor is not None:
                return
            one = Laid(anchor.rect, anchor.size, anchor.frame, drawn=False)
            self._anchor = anchor
            try:
                revision = areas.put(self._folder, one, coded(anchor.small))
            except RecordError as problem:
                _log.info("%s", problem)  # known to this watch alone
            else:
                self._laid = Laid(one.rect, one.size, one.frame, one.drawn, revision)

    def close(self) -> None:
        """Let go of the record."""
        with self._lock:
            self._reader.close()

    def _found(self) -> Laid | None:
        drawn = self._reader.laid()
        if drawn is not None or self._fixed is None:
            return drawn
        given = self._reader.laid(drawn=False)
        # Another one than the settings name now is of an earlier watch.
        if given is not None and placed(self._fixed, *given.size) == given.rect:
            return given
        return None

    def _take(self, found: Laid | None) -> None:
        if found is None:
            # What could not be put into the record still holds.
            if self._laid is not None:
                self._laid = self._anchor = None
        elif found != self._laid:
            try:
                small = decoded(self._reader.laid_over(found), found.size)
            except ValueError as problem:
                _log.warning("the fixed area in the record is damaged: %s", problem)
                self._anchor = None
            else:
                self._anchor = Anchor(found.rect, found.size, small, found.frame, found.drawn)
            self._laid = found
