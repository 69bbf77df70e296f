"""Real cameras' files: those of three Debian source packages, fetched, never kept here."""

from __future__ import annotations

import os
from pathlib import Path

# Where the fetched files lie, for tests that need them.
VARIABLE = "TETHER_SAMPLES"
HOW = f"no samples: run `python -m tests.samples FOLDER` and set {VARIABLE} to the folder"


def folder() -> Path | None:
    """The folder of fetched samples, if it was named and there is one."""
    named = os.environ.get(VARIABLE)
    return Path(named) if named and Path(named).is_dir() else None


def pictures(within: Path, suffixes: frozenset[str]) -> list[Path]:
    """Every sample with one of these suffixes, in lower case."""
    return sorted(path for path in within.rglob("*") if path.suffix.lower() in suffixes)


def files(within: Path) -> list[Path]:
    """Every sample with a camera's metadata, in order of its name."""
    found = [path for sub in ("test/data", "t/images") for path in within.glob(f"*/{sub}/*")]
    return sorted(path for path in found if path.is_file())
