"""`python -m tests.benchmarks.focus_points FOLDER`: focus points beside ExifTool's, and the time.

FOLDER is one that `python -m tests.samples` filled, or that holds folders of files like its own.
"""

from __future__ import annotations

import sys
from collections import Counter
from functools import partial
from pathlib import Path

import numpy as np
import simplejpeg

from tests.benchmarks.timing import in_turn, report
from tests.samples import exiftool, files, reading
from tests.samples.agreement import DIFFER, Agreement, Compared, compare
from tests.samples.kinds import KINDS, Kind, exif_of, kind_of
from tests.samples.splicing import spliced
from tether.model import Rect

_MOST_MS = 15.0
_TIMED = (
    "Sigma_28mm_F1.4_DG_HSM_A_for_EOS.exv",
    "CH0_0174.exv",
    "exiv2-pr906.exv",
    "exiv2-pr1409.exv",
    "olympus-m.zuiko-17mm-f1.2-pro.exv",
)


def main(folder: Path) -> int:
    """Print everything; the exit status is 1 where a reading differs or takes too long."""
    print(f"ExifTool {exiftool.version()}; areas as left,top width x height in recorded px\n")
    found = compare(files(folder))
    told = [one for one in found if one.agreement is not Agreement.NEITHER]
    for one in told:
        print(_line(one))
    counts = Counter(one.agreement for one in found)
    print("\n" + ", ".join(f"{count} {name}" for name, count in counts.items()))
    print("\nnot at the centre, which a wrong axis or sign would still hit:")
    print("  " + ", ".join(one.path.name for one in told if _tells(one)) + "\n")
    _kinds([one for one in found if one.agreement is Agreement.SAME])
    quick = _times(folder)
    return 0 if quick and all(one.as_expected for one in found) else 1


def _line(one: Compared) -> str:
    theirs, ours = _rects(one.theirs), _rects(one.ours)
    both = f"{theirs:<34} {'same' if theirs == ours else ours or '-':<34}"
    why = DIFFER.get(one.path.name, ("", ""))[1]
    return f"{one.path.name:<46.46} {one.model:<24} {both} {one.agreement.value} {why}".rstrip()


def _rects(rects: tuple[Rect, ...]) -> str:
    if not rects:
        return "-"
    one = min(rects, key=lambda rect: (rect.x, rect.y))
    more = f" +{len(rects) - 1}" if len(rects) > 1 else ""
    return f"{one.x},{one.y} {one.width} x {one.height}{more}"


def _tells(one: Compared) -> bool:
    first = one.ours[0] if one.ours else None
    if first is None or one.agreement is not Agreement.SAME:
        return False
    off_x = abs(first.x + first.width / 2 - one.size[0] / 2) / one.size[0]
    off_y = abs(first.y + first.height / 2 - one.size[1] / 2) / one.size[1]
    return max(off_x, off_y) > 0.01


def _kinds(same: list[Compared]) -> None:
    held: dict[str, Counter[str]] = {}
    for one in same:
        exif = exif_of(one.path)
        kind = kind_of(exif) if exif is not None else None
        if kind is not None:
            held.setdefault(_name(kind), Counter())[one.model.removeprefix("Canon ")] += 1
    for kind in KINDS:
        models = held.get(_name(kind), Counter())
        names = ", ".join(f"{model} {count}" for model, count in sorted(models.items()))
        total = sum(models.values())
        print(f"{_name(kind):<46} {total:>3}  {names or 'UNVERIFIED: no sample with a place'}")


def _name(kind: Kind) -> str:
    return f"{kind.maker}: {kind.name}"


def _times(folder: Path) -> bool:
    """The time of all tags of a 24-megapixel JPEG near 12 MB, the notes of real cameras in it."""
    noise = np.random.default_rng(1).normal(128, 13, (4000, 6000, 1)).clip(0, 255)
    picture = simplejpeg.encode_jpeg(
        noise.astype(np.uint8), quality=90, colorspace="GRAY", colorsubsampling="Gray"
    )
    print(f"\nreading all tags of a JPEG of {len(picture) / 1e6:.1f} MB, median ms, memory warm")
    by_name = {path.name: path for path in files(folder) if path.name in _TIMED}
    made = {name: spliced(picture, path.read_bytes()) for name, path in by_name.items()}
    taken = in_turn({n: partial(reading.read, d) for n, d in made.items()}, 40)
    good = [report(n, 1000 * float(np.median(s)), _MOST_MS, "ms") for n, s in taken.items()]
    return all(good)


if __name__ == "__main__":
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir():
        sys.exit("give the folder that `python -m tests.samples` filled")
    if exiftool.version() is None:
        sys.exit("ExifTool is not installed")
    sys.exit(main(Path(sys.argv[1])))
