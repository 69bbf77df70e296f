"""Which folders have joined a session: what lay in them before is no frame of it."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path

from tether.session.writing import Writing

_KEY = "folders"


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
            found = opened.execute("SELECT value FROM state WHERE key = ?", (_KEY,)).fetchone()
        known = set(json.loads(found[0])) if found else set()
        return [folder for folder in folders if _key(folder) not in known]

    def note(self, folders: Sequence[Path]) -> None:
        """Have them count as joined from now on."""
        with self.transaction() as opened:
            found = opened.execute("SELECT value FROM state WHERE key = ?", (_KEY,)).fetchone()
            known = json.loads(found[0]) if found else []
            joined = list(dict.fromkeys([*known, *map(_key, folders)]))
            opened.execute("INSERT OR REPLACE INTO state VALUES (?, ?)", (_KEY, json.dumps(joined)))


def _key(folder: Path) -> str:
    # A name that is no text would not come back the same from JSON's UTF-8.
    return os.fsencode(folder).hex()
