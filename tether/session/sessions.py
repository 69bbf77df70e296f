"""Which folders are watched on this computer now, for a command that does not name one."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import platformdirs

from tether.session import lock


@contextmanager
def noted(folder: Path) -> Iterator[None]:
    """Have `folder` found by `watched` while the context is open, if that can be noted."""
    note = _place() / hashlib.sha256(os.fsencode(folder.absolute())).hexdigest()[:32]
    with suppress(OSError):
        note.parent.mkdir(parents=True, exist_ok=True)
        note.write_bytes(os.fsencode(folder.absolute()))
    try:
        yield
    finally:
        with suppress(OSError):
            note.unlink()


def watched() -> list[Path]:
    """Folders that a watch of this user's runs on now."""
    found = []
    with suppress(OSError):
        for note in sorted(_place().iterdir()):
            with suppress(OSError):
                folder = Path(os.fsdecode(note.read_bytes()))
                # A watch that was killed leaves its note, but not its lock.
                if lock.held(folder):
                    found.append(folder)
    return found


def _place() -> Path:
    return platformdirs.user_state_path("tether") / "watched"
