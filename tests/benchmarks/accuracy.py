"""How well sharpness is told: every part's tables in turn, each against what was promised.

Run `python -m tests.benchmarks.accuracy [FOLDER]`. Photographs come inside scikit-image and
scikit-learn; those of two Debian packages are fetched into the folder, or else into one that is
removed again.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from calibration.photographs import fetch
from tests.benchmarks import (
    accuracy_area,
    accuracy_around,
    accuracy_faces,
    accuracy_invariance,
    accuracy_reference,
    accuracy_slanted,
)


def main(folder: Path) -> None:
    """Print every table."""
    fetch(folder)
    parts: dict[str, Callable[[], object]] = {
        "Edge width of an area": lambda: accuracy_area.main(folder),
        "The same picture in other light": lambda: accuracy_invariance.main(folder),
        "Against a reference": lambda: accuracy_reference.main(folder),
        "Slanted edge": accuracy_slanted.main,
        "The rest of the frame": accuracy_around.main,
        "Faces": accuracy_faces.main,
    }
    for name, part in parts.items():
        print(f"\n{name}\n{'=' * len(name)}\n")
        part()


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory(prefix="tether-accuracy-") as made:
            main(Path(made))
