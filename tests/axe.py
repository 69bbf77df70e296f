"""axe-core, the accessibility rules that pages are held against: fetched, never kept here.

`python -m tests.axe` fetches it with npm's own client into this computer's cache folder.
"""

from __future__ import annotations

import base64
import hashlib
import os
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

VERSION = "4.14.1"
# The package's "integrity", as its registry tells it and npm would check it.
SHA512 = "FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ=="
HOW = "no axe-core: run `python -m tests.axe`"

_CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
# Known when this is imported: tests set another home for what they run.
SCRIPT = _CACHE / "tether" / f"axe-core-{VERSION}.min.js"


def fetch() -> None:
    """Put the script where tests look for it; what is there already is left as it is.

    Raises
    ------
    OSError, subprocess.SubprocessError, ValueError
        There is no npm, no network, or another package than expected.
    """
    if SCRIPT.is_file():
        return
    SCRIPT.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="tether-axe-") as made:
        asked = ["npm", "pack", "--silent", f"axe-core@{VERSION}"]
        subprocess.run(asked, cwd=made, check=True, timeout=120, stdout=subprocess.DEVNULL)
        archive = Path(made) / f"axe-core-{VERSION}.tgz"
        found = base64.b64encode(hashlib.sha512(archive.read_bytes()).digest()).decode()
        if found != SHA512:
            raise ValueError(f"{archive.name}: not the copy that is expected, by its SHA-512")
        with tarfile.open(archive) as whole:
            held = whole.extractfile("package/axe.min.js")
            assert held is not None, "it is a file"
            part = SCRIPT.with_suffix(".part")
            part.write_bytes(held.read())
        part.rename(SCRIPT)


def main() -> int:
    """Fetch it; the exit status is 2 where that cannot be."""
    try:
        fetch()
    except (OSError, subprocess.SubprocessError, ValueError) as problem:
        print(problem, file=sys.stderr)
        return 2
    print(SCRIPT)
    return 0


if __name__ == "__main__":
    sys.exit(main())
