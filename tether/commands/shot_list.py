"""The shot list of a watch: laid over the record's at its start, looked through at its end."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from tether.model import Setup
from tether.plain import plain
from tether.session import setups
from tether.session.coverage import coverage
from tether.session.roots import Roots
from tether.session.schema import RecordError
from tether.session.writing import once


def laid_over(folder: Path, shots: Sequence[Setup], folders: Sequence[Setup] = ()) -> None:
    """Put a list into the record, and behind it the folders that are setups.

    Raises
    ------
    SetupError, RecordError
        It does not go with what is there, or cannot be written.
    """
    if shots:
        setups.put_list(folder, shots, "list")
    if folders:
        setups.put_new(folder, folders, "folder")


def in_folders(roots: Roots) -> list[Setup]:
    """Every folder inside those that frames come into, as a setup."""
    from tether.session.shot_list.folders import from_folder

    cameras = [one.folder.name for one in roots.origins if one.folder.parent == roots.home]
    found: list[Setup] = []
    for one in roots.origins:
        found += from_folder(one.folder, cameras if one is roots.own else ())
    return found


def begun_with(folder: Path, shots: Sequence[Setup]) -> None:
    """Open the session's record, or begin it, and put a list into it; errors as above."""
    from tether.session.record import Record

    record = Record(folder)
    try:
        record.open()
        laid_over(folder, shots)
    finally:
        record.close()


def uncovered(folder: Path) -> list[str]:
    """What is still to be shot, a line a setup, for whoever ends the session."""
    try:
        # Not through a reader: whoever only reads cannot fold the write-ahead log away behind it.
        with once(folder) as opened:
            found = coverage(opened)
    except RecordError:
        return []  # the watch has said so already
    return [
        f"uncovered: {plain(one.setup.name)}, {one.has} of {one.setup.needed} sharp"
        for one in found
        if not one.covered
    ]
