"""The program's focus points beside ExifTool's, file by file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from tests.samples import exiftool, reading
from tether.frame.focus_points.placing import placed
from tether.model import Rect

# What two readers of one number may differ by when each rounds it to pixels of its own.
TOLERANCE_PX = 2.0
POINT_PX = 320


class Agreement(StrEnum):
    """How the two readings of a file compare."""

    SAME = "same"
    NEITHER = "no place in either"
    OURS_ONLY = "ours only"
    THEIRS_ONLY = "ExifTool's only"
    DIFFERENT = "DIFFERENT"


# Files of which the two cannot say the same, each with its reason, found by looking into it.
DIFFER = {
    "CH0_0174.exv": (Agreement.OURS_ONLY, "ExifTool shows this body's place from 13.58 on"),
    "CanonRaw.cr3": (Agreement.THEIRS_ONLY, "cut short: exiv2 refuses it"),
    "DNG.dng": (Agreement.THEIRS_ONLY, "the notes lie in the converter's private data"),
    "OlympusE1.jpg": (Agreement.THEIRS_ONLY, "notes of 2003, which exiv2 does not take apart"),
    "Tamron_SP_35mm_f1.4_Di_USD_F045.exv": (
        Agreement.THEIRS_ONLY,
        "cut to 527 x 647 px: the viewfinder's centre may be elsewhere",
    ),
}


@dataclass(frozen=True, slots=True)
class Compared:
    """One file: both readers' rectangles, px of the picture as recorded, and our sentence."""

    path: Path
    make: str
    model: str
    size: tuple[int, int]
    theirs: tuple[Rect, ...]
    ours: tuple[Rect, ...]
    said: str
    agreement: Agreement

    @property
    def as_expected(self) -> bool:
        """Whether both say the same, or differ as is known of this file."""
        known, _ = DIFFER.get(self.path.name, (None, ""))
        return self.agreement in {Agreement.SAME, Agreement.NEITHER, known}


def compare(paths: Sequence[Path]) -> list[Compared]:
    """Compare every file that names a maker; at most one process of ExifTool runs."""
    readings = exiftool.read(paths)
    return [_compared(path, one) for path, one in readings.items() if one.make]


def _compared(path: Path, theirs: exiftool.Reading) -> Compared:
    told = reading.read(path.read_bytes(), theirs.recorded or reading.SIZE)
    focus = told.focus
    size = told.recorded or _whole(theirs.frame) or _whole(focus.frame if focus else None)
    size = size or reading.SIZE
    found = placed(focus, size, told.recorded, POINT_PX) if focus and focus.points else ()
    said = found if isinstance(found, str) else focus.said if focus else ""
    ours = () if isinstance(found, str) else found
    expected = tuple(_rect(place, size) for place in theirs.places)
    return Compared(
        path,
        theirs.make,
        theirs.model,
        size,
        expected,
        ours,
        said,
        _agreement(expected, ours),
    )


def _whole(frame: tuple[float, float] | None) -> tuple[int, int] | None:
    # Smaller frames are shapes or grids, not sizes.
    return (int(frame[0]), int(frame[1])) if frame and frame[0] > 1000 else None


def _rect(place: exiftool.Place, size: tuple[int, int]) -> Rect:
    x, y = place[0] * size[0], place[1] * size[1]
    wide, high = place[2] * size[0] or POINT_PX, place[3] * size[1] or POINT_PX
    return Rect(round(x - wide / 2), round(y - high / 2), round(wide), round(high))


def _agreement(theirs: Sequence[Rect], ours: Sequence[Rect]) -> Agreement:
    if not theirs or not ours:
        if not theirs and not ours:
            return Agreement.NEITHER
        return Agreement.OURS_ONLY if ours else Agreement.THEIRS_ONLY
    # Ours come with the one to look at first.
    pairs = zip(sorted(theirs, key=_key), sorted(ours, key=_key), strict=False)
    same = len(theirs) == len(ours) and all(
        apart(one, other) <= TOLERANCE_PX for one, other in pairs
    )
    return Agreement.SAME if same else Agreement.DIFFERENT


def _key(one: Rect) -> tuple[int, int]:
    return one.x, one.y


def apart(one: Rect, other: Rect) -> float:
    """The most that an edge of one rectangle lies from that of another, px."""
    return max(
        abs(one.x - other.x),
        abs(one.y - other.y),
        abs(one.x + one.width - other.x - other.width),
        abs(one.y + one.height - other.y - other.height),
    )
