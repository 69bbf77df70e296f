"""`python -m tests.benchmarks.focus_points FOLDER`: focus points beside ExifTool's, and the time.

FOLDER is one that `python -m tests.samples` filled, or that holds folders of files like its own.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from functools import partial
from pathlib import Path

import numpy as np
import simplejpeg

from tests.benchmarks.timing import in_turn, report
from tests.pictures import grey, jpeg
from tests.samples import exiftool, files, reading
from tests.samples.agreement import DIFFER, Agreement, Compared, compare
from tests.samples.kinds import KINDS, Kind, exif_of, kind_of
from tests.samples.moved import MOVES, made
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
    with tempfile.TemporaryDirectory() as made_in:
        moved = _moved(folder, Path(made_in))
        _kinds(
            *([one for one in all_ if one.agreement is Agreement.SAME] for all_ in (found, moved))
        )
    agree = all(one.as_expected for one in found + moved)
    return 0 if _times(folder) and agree else 1


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


def _kinds(same: list[Compared], moved: list[Compared]) -> None:
    """Print how many files of each kind agree, and how many with the point moved."""
    held, shifted = _by_kind(same), _by_kind(moved)
    print(f"{'kind':<44} files moved  of the files, the models")
    for kind in KINDS:
        models = held.get(_name(kind), Counter())
        counts = sum(models.values()), sum(shifted.get(_name(kind), Counter()).values())
        names = ", ".join(f"{model} {count}" for model, count in sorted(models.items()))
        print(f"{_name(kind):<44} {counts[0]:>5} {counts[1]:>5}  {names or _UNSEEN[any(counts)]}")


_UNSEEN = {
    True: "no file with a place: verified only with one put in",
    False: "UNVERIFIED on a real camera's notes",
}


def _by_kind(compared: list[Compared]) -> dict[str, Counter[str]]:
    held: dict[str, Counter[str]] = {}
    for one in compared:
        exif = exif_of(one.path)
        kind = kind_of(exif) if exif is not None else None
        if kind is not None:
            held.setdefault(_name(kind), Counter())[one.model.removeprefix("Canon ")] += 1
    return held


def _moved(folder: Path, made_in: Path) -> list[Compared]:
    """Real notes whose point was put elsewhere, read by both."""
    paths = {path.name: path for path in files(folder)}
    for n, move in enumerate(MOVES):
        (made_in / f"{n}.jpg").write_bytes(made(move, paths, jpeg(grey(8))))
    return compare(sorted(made_in.iterdir()))


def _name(kind: Kind) -> str:
    return f"{kind.maker}: {kind.name}"


def _times(folder: Path) -> bool:
    """The time of all tags of a 24-megapixel JPEG near 12 MB, the notes of real cameras in it."""
    noise = np.random.default_rng(1).normal(128, 24, (4000, 6000, 1)).clip(0, 255)
    picture = simplejpeg.encode_jpeg(
        noise.astype(np.uint8), quality=90, colorspace="GRAY", colorsubsampling="Gray"
    )
    print(f"\nreading all tags of a JPEG of {len(picture) / 1e6:.1f} MB, median ms, memory warm")
    by_name = {path.name: path for path in files(folder) if path.name in _TIMED}
    whole = {name: spliced(picture, path.read_bytes()) for name, path in by_name.items()}
    taken = in_turn({n: partial(reading.read, d) for n, d in whole.items()}, 40)
    good = [report(n, 1000 * float(np.median(s)), _MOST_MS, "ms") for n, s in taken.items()]
    return all(good)


if __name__ == "__main__":
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir():
        sys.exit("give the folder that `python -m tests.samples` filled")
    if exiftool.version() is None:
        sys.exit("ExifTool is not installed")
    sys.exit(main(Path(sys.argv[1])))
