"""What lay in a session's folders before it began there: no frames, unless they are asked for."""

from __future__ import annotations

from pathlib import Path

from tether.arrivals.sweep import pictures_below
from tether.frame.file import FileIdentity, identity
from tether.session.joined import JoinedFolders
from tether.session.record import Record
from tether.session.roots import Roots


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
    record, joined = Record(roots.home), JoinedFolders(roots.home)
    try:
        others = [one.folder for one in roots.origins if one.within != roots.home]
        new = ([] if record.begun() else [roots.home]) + joined.new(others)
        left = [] if existing else [one for folder in new for one in _before(folder, since_ns)]
        if existing:
            record.take_back()
        record.pass_over([(roots.below(path), file) for path, file in left])
        # Whatever ends the watch from here on, what comes now is a frame at its next start.
        joined.note([roots.home, *others])
    finally:
        record.close()
        joined.close()
    return len(left)


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
