"""What lay in a session's folders before it began there: no frames, unless they are asked for."""

from __future__ import annotations

from pathlib import Path

from tether.arrivals.sweep import pictures_below
from tether.frame.file import FileIdentity, identity
from tether.session.joined import JoinedFolders
from tether.session.record import Record
from tether.session.roots import Roots


def started(roots: Roots, since_ns: int) -> dict[Path, int]:
    """Have the record keep when folders that are new to it were to be watched first.

    Returns
    -------
    dict
        That moment for each of them, ns since 1970: `since_ns`, or that of an earlier watch which
        ended before it could say what lay there.

    Raises
    ------
    RecordError
        The record cannot be read or written.
    """
    record, joined = Record(roots.home), JoinedFolders(roots.home)
    try:
        new = ([] if record.begun() else [roots.home]) + joined.new(_others(roots))
        return joined.starts(new, since_ns)
    finally:
        record.close()
        joined.close()


def pass_over(roots: Roots, since_ns: int, *, existing: bool) -> int:
    """Have the record say which files are no frames, and return how many those are.

    They are what was in the session's folder before its first watch, and in a further folder
    before the first that had it, from before `since_ns`, `time.time_ns()`. Where `existing` are
    asked for, there are none, and those of before are taken back.

    Raises
    ------
    RecordError
        The record cannot be read or written.
    """
    starts = started(roots, since_ns)
    record, joined = Record(roots.home), JoinedFolders(roots.home)
    try:
        left = []
        if existing:
            record.take_back()
        else:
            left = [one for folder, when in starts.items() for one in _before(folder, when)]
        record.pass_over([(roots.below(path), file) for path, file in left])
        # Whatever ends the watch from here on, what comes now is a frame at its next start.
        joined.note([roots.home, *_others(roots)])
    finally:
        record.close()
        joined.close()
    return len(left)


def _others(roots: Roots) -> list[Path]:
    return [one.folder for one in roots.origins if one.within != roots.home]


def _before(folder: Path, since_ns: int) -> list[tuple[Path, FileIdentity]]:
    """What lay there before this watch was asked for; what came while it started is a frame."""
    found = []
    for path in pictures_below(folder):
        try:
            told = path.stat()
        except OSError:
            continue  # gone since, or a link to nowhere: the source looks at it again
        # Copying may keep a file's time of change; the time of its own record it cannot keep.
        if told.st_ctime_ns < since_ns:
            found.append((path, identity(told, linked=path.is_symlink())))
    return found
