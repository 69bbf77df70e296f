"""Walking a folder for its pictures."""

from __future__ import annotations

import logging
import os
from collections.abc import Container, Iterator
from pathlib import Path

from tether.frame.file import FileIdentity, identity
from tether.frame.kinds import is_passed_over, is_picture

_log = logging.getLogger(__name__)


def pictures_below(path: Path) -> Iterator[Path]:
    """Yield every picture in a folder and its subfolders, in the order of their names.

    Parameters
    ----------
    path
        A folder.

    Yields
    ------
    Path
        Pictures of all kinds. What is hidden is passed over, and
        symbolic links to folders are not followed.
    """
    for entry in sorted(_entries(os.fspath(path)), key=lambda entry: entry.name):
        if _is_folder(entry):
            yield from pictures_below(Path(entry.path))
        elif is_picture(entry.name) and _is_file(entry):
            yield Path(entry.path)


def sweep(folder: str, known: Container[str] = ()) -> Iterator[tuple[str, FileIdentity]]:
    """Yield every picture in a folder and its subfolders with a look at it, in no order.

    Parameters
    ----------
    folder
        The folder to walk; a folder that cannot be read, or goes away meanwhile, is left out.
    known
        Paths that are left out and not looked at, which saves most of the cost.

    Yields
    ------
    tuple[str, FileIdentity]
        The path and what was seen there.
    """
    waiting = [folder]
    while waiting:
        for entry in _entries(waiting.pop()):
            if _is_folder(entry):
                waiting.append(entry.path)
            elif is_picture(entry.name) and entry.path not in known and _is_file(entry):
                try:
                    seen = entry.stat()
                except OSError:
                    continue
                yield entry.path, identity(seen, linked=entry.is_symlink())


def _entries(folder: str) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as entries:
            return list(entries)
    except OSError as error:
        _log.info("cannot list %r: %s", folder, error)
        return []


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir(follow_symlinks=False) and not is_passed_over(entry.name)
    except OSError:
        return False


def _is_file(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_file()
    except OSError:
        return False
