"""How well sharpness is told: every part's tables in turn, each against what was promised.

Run `python -m tests.benchmarks.accuracy [FOLDER]`. The photographs that score it come inside
scikit-image and scikit-learn; with a folder, those of two Debian packages are fetched into it
and added.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from calibration.photographs import fetch
from tests.benchmarks import accuracy_area, accuracy_around, accuracy_faces, accuracy_slanted


def main(folder: Path | None) -> None:
    """Print every table."""
    if folder is not None:
        fetch(folder)
    parts: dict[str, Callable[[], object]] = {
        "Edge width of an area": lambda: accuracy_area.main(folder),
        "Slanted edge": accuracy_slanted.main,
        "The rest of the frame": accuracy_around.main,
        "Faces": accuracy_faces.main,
    }
    for name, part in parts.items():
        print(f"\n{name}\n{'=' * len(name)}\n")
        part()


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
