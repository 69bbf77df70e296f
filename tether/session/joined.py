"""Which folders have joined a session: what lay in them before is no frame of it."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tether.session.writing import Writing

_KEY = "folders"
_STARTS = "starts"


class JoinedFolders(Writing):
    """The record's list of them, by their whole paths.

    Raises
    ------
    RecordError
        From every method: it cannot be read or written.
    """

    def new(self, folders: Sequence[Path]) -> list[Path]:
        """Those that no watch of this session had before."""
        with self.transaction() as opened:
            known = set(_read(opened, _KEY, []))
        return [folder for folder in folders if _key(folder) not in known]

    def starts(self, folders: Sequence[Path], since_ns: int) -> dict[Path, int]:
        """When each of these new ones was to be watched first, ns since 1970: kept, or else now.

        Whatever ends a watch before a folder has joined, what comes after that is a frame.
        """
        with self.transaction() as opened:
            kept: dict[str, int] = _read(opened, _STARTS, {})
            now = {_key(folder): since_ns for folder in folders} | kept
            if now != kept:
                _write(opened, _STARTS, now)
        return {folder: now[_key(folder)] for folder in folders}

    def note(self, folders: Sequence[Path]) -> None:
        """Have them count as joined from now on."""
        with self.transaction() as opened:
            keys = [_key(folder) for folder in folders]
            _write(opened, _KEY, list(dict.fromkeys([*_read(opened, _KEY, []), *keys])))
            kept = _read(opened, _STARTS, {})
            _write(opened, _STARTS, {key: kept[key] for key in kept if key not in keys})


def _read(opened: sqlite3.Connection, key: str, otherwise: Any) -> Any:
    found = opened.execute("SELECT value FROM state WHERE key = ?", (key,)).fetchone()
    return json.loads(found[0]) if found else otherwise


def _write(opened: sqlite3.Connection, key: str, value: Any) -> None:
    opened.execute("INSERT OR REPLACE INTO state VALUES (?, ?)", (key, json.dumps(value)))


def _key(folder: Path) -> str:
    # A name that is no text would not come back the same from JSON's UTF-8.
    return os.fsencode(folder).hex()
