"""Focus mode, stabiliser and focus distance as we read them, against ExifTool's reading.

`python -m tests.benchmarks.exposure_facts FOLDER` reads every picture below a folder with both,
such as the tests of exiv2 and ExifTool. It prints where they differ, and how many agree; it ends
with 1 where they differ. ExifTool's side is told from its words, ours from numbers.
"""

from __future__ import annotations

import json
import math
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from tether.frame.fence import Fence
from tether.frame.header import header
from tether.frame.wire import Request
from tether.model import Exposure

SUFFIXES = {".exv", ".jpg", ".jpeg", ".heic", ".hif", ".cr2", ".nef", ".dng", ".orf", ".tif"}
TAGS = (
    "FocusMode", "ImageStabilization", "VibrationReduction", "ShakeReduction", "SubjectDistance",
    "FocusDistance", "FocusDistanceUpper", "FocusDistanceLower",
)  # fmt: skip
MODES = (
    (r"manual|^mf", "manual"),
    (r"af-?c\b|servo|continuous", "continuous"),
    (r"af-?a\b|ai focus", "automatic"),
    (r"af-?s\b|one-shot|single|dmf|^af \+ mf", "single"),
)

Fact = str | float | bool | None


def main() -> None:
    """Print the table."""
    exiftool = shutil.which("exiftool")
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir() or exiftool is None:
        sys.exit(f"{__doc__}\nExifTool is {'there' if exiftool else 'not installed'}.")
    files = [p for p in sorted(Path(sys.argv[1]).rglob("*")) if p.suffix.lower() in SUFFIXES]
    asked = [exiftool, "-j", *(f"-{tag}" for tag in TAGS), *map(str, files)]
    told = json.loads(subprocess.run(asked, capture_output=True, check=False).stdout)
    theirs = {Path(one["SourceFile"]): one for one in told}
    fence, counts = Fence(), Counter[str]()
    for path in files:
        read = fence.read(Request(header(path.read_bytes()), path.name, 6000, 4000))
        for name, (one, other) in facts(read.exposure, theirs.get(path, {})).items():
            how = agreement(one, other)
            counts[f"{name}: {how}"] += how != ""
            if how == "differ":
                print(f"  {path.name}: {name} {one} here, {other} there")
    fence.close()
    for name, count in sorted(counts.items()):
        print(f"{name:<30} {count:5}") if count else None
    sys.exit(1 if any(name.endswith("differ") and n for name, n in counts.items()) else 0)


def facts(taken: Exposure, there: dict[str, Any]) -> dict[str, tuple[Fact, Fact]]:
    """What we say and what the other says, by name."""
    mode = taken.focus_mode.value if taken.focus_mode else None
    return {
        "focus mode": (mode, mode_of(str(there.get("FocusMode", "")))),
        "stabiliser": (taken.stabilised, stabiliser_of(there)),
        "focus distance, m": (taken.focus_distance_m, distance_of(there)),
    }


def agreement(one: Fact, other: Fact) -> str:
    """In a word; nothing where neither says anything."""
    if one is None or other is None:
        return "" if one is other else "here alone" if other is None else "there alone"
    if isinstance(one, float) and isinstance(other, float):
        return "agree" if one == other or math.isclose(one, other, rel_tol=0.01) else "differ"
    return "agree" if one == other else "differ"


def mode_of(words: str) -> str | None:
    """The focus mode that ExifTool's words name."""
    return next((mode for found, mode in MODES if re.search(found, words, re.I)), None)


def stabiliser_of(there: dict[str, Any]) -> bool | None:
    """Whether ExifTool says that a stabiliser was on."""
    words = next((str(there[tag]) for tag in TAGS[1:4] if tag in there), "")
    if "disabled" in words.lower():
        return False
    found = re.search(r"\b(on|off)\b|Dual IS|Optical$", words, re.I)
    return found[0].lower() != "off" if found else None


def distance_of(there: dict[str, Any]) -> float | None:
    """Metres as ExifTool tells them; of two ends their middle, if they are close together."""
    upper, lower = (metres(there.get(f"FocusDistance{end}")) for end in ("Upper", "Lower"))
    if upper is not None:
        if math.isinf(upper):
            return upper if lower is not None and lower >= 50 else None
        return (upper + lower) / 2 if lower and upper <= 1.25 * lower else None
    return metres(there.get("SubjectDistance")) or metres(there.get("FocusDistance"))


def metres(words: object) -> float | None:
    """A length that ExifTool prints; None for nought or none."""
    if str(words) == "inf":
        return math.inf
    found = re.match(r"([\d.]+) m\b", str(words))
    return float(found[1]) or None if found else None


if __name__ == "__main__":
    main()
