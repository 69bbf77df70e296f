"""A fixed area in the record: laid by whoever looks at a frame, read by the watch.

The watch owns the record and screens only read it, with this one exception: an area is put in a
single small transaction, which waits for the watch's own as the watch waits for it.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from tether.model import Rect
from tether.plain import plain
from tether.session.writing import next_revision, once


@dataclass(frozen=True, slots=True)
class Laid:
    """A fixed area, in px of the unrotated frame of `size` (width, height) that it was laid over.

    `frame` is that frame's name; `drawn` is whether somebody drew it there, or else the settings
    named it. Every area that is put has a `revision` of its own.
    """

    rect: Rect
    size: tuple[int, int]
    frame: str
    drawn: bool
    revision: int = 0


def put(folder: Path, laid: Laid, jpeg: bytes, setup: int | None = None) -> int:
    """Keep an area for a setup in the place of the one before.

    Parameters
    ----------
    folder
        The session's; its record must be there.
    laid
        The area; its revision does not count.
    jpeg
        The frame, reduced, as `frame.anchor` codes it.
    setup
        Its id in the record, or None while there is none.

    Returns
    -------
    int
        Its revision.

    Raises
    ------
    RecordError
        It cannot be kept; the message says why.
    """
    with once(folder) as opened:
        _delete(opened, setup, drawn=laid.drawn)
        revision = next_revision(opened)
        r = laid.rect
        opened.execute(
            "INSERT INTO fixed_areas VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                *(key(setup), laid.drawn, revision, r.x, r.y, r.width, r.height),
                *(*laid.size, plain(laid.frame), jpeg),
            ),
        )
        return revision


def take_away(folder: Path, setup: int | None = None) -> None:
    """Forget the area that was drawn for a setup.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(folder) as opened:
        _delete(opened, setup, drawn=True)
        next_revision(opened)


def _delete(opened: sqlite3.Connection, setup: int | None, *, drawn: bool) -> None:
    opened.execute("DELETE FROM fixed_areas WHERE setup IS ? AND drawn = ?", (key(setup), drawn))


def key(setup: int | None) -> str | None:
    """A setup as the table names it."""
    return None if setup is None else str(setup)
