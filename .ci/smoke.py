"""The installed wheel does the main job outside the checkout and leaves nothing behind."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path


def main() -> None:
    """Run the installed program as a newcomer does."""
    binaries, elsewhere = Path(sys.argv[1]), Path(sys.argv[2])
    scratch = elsewhere / "tmp"
    scratch.mkdir()
    place = {**os.environ, "TMPDIR": str(scratch)}

    def run(*command: str) -> str:
        done = subprocess.run(
            [str(binaries / command[0]), *command[1:]],
            cwd=elsewhere, env=place, text=True, stdout=subprocess.PIPE, check=True,
        )  # fmt: skip
        return done.stdout

    print(run("tether", "--version").strip())
    assert "portrait" in run(
        "python", "-c", "from tether.settings import presets; print(presets())"
    )
    begun = time.monotonic()
    lines = [
        json.loads(line)
        for line in run("tether", "rehearse", "--headless", "--json").split("\n")
        if line
    ]
    took = time.monotonic() - begun
    verdicts = sorted({line["verdict"] for line in lines})
    print(f"rehearsal: {len(lines)} frames in {took:.0f} s, verdicts: {', '.join(verdicts)}")
    assert took < 60, "the rehearsal takes longer than a minute"
    assert {"sharp", "soft", "unjudged"} <= set(verdicts)
    assert not any(scratch.iterdir()), f"left behind: {list(scratch.iterdir())}"


if __name__ == "__main__":
    main()
