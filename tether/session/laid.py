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
from tether.session.writing import Writing, next_revision, once


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


def put(
    where: Path | Writing,
    laid: Laid,
    jpeg: bytes,
    setup: int | None = None,
    camera: str | None = None,
) -> int:
    """Keep an area for a setup and a camera in the place of the one before.

    Parameters
    ----------
    where
        The session's folder, or the writing end of its record; its record must be there.
    laid
        The area; its revision does not count.
    jpeg
        The frame, reduced, as `frame.anchor` codes it.
    setup
        Its id in the record, or None while there is none.
    camera
        Whose frames are judged there; None where there is only one.

    Returns
    -------
    int
        Its revision.

    Raises
    ------
    RecordError
        It cannot be kept; the message says why.
    """
    with once(where) as opened:
        _delete(opened, setup, camera, drawn=laid.drawn)
        revision = next_revision(opened)
        r = laid.rect
        opened.execute(
            "INSERT INTO fixed_areas (setup, camera, drawn, revision, x, y, width, height, "
            "frame_width, frame_height, frame, jpeg) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                *(key(setup), camera, laid.drawn, revision, r.x, r.y, r.width, r.height),
                *(*laid.size, plain(laid.frame), jpeg),
            ),
        )
        return revision


def take_away(where: Path | Writing, setup: int | None = None, camera: str | None = None) -> None:
    """Forget the area that was drawn for a setup and a camera.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        _delete(opened, setup, camera, drawn=True)
        next_revision(opened)


def _delete(
    opened: sqlite3.Connection, setup: int | None, camera: str | None, *, drawn: bool
) -> None:
    opened.execute(
        "DELETE FROM fixed_areas WHERE setup IS ? AND camera IS ? AND drawn = ?",
        (key(setup), camera, drawn),
    )


def key(setup: int | None) -> str | None:
    """A setup as the table names it."""
    return None if setup is None else str(setup)
