"""Canon's first AF information with places, tag 0x0012: DSLRs and compacts of about 2004 to 2007.

The layout is ExifTool's table Canon::AFInfo: number of points, valid ones, two sizes of the image,
one size of all areas, x and y of each, then a mask of those in focus, 16-bit words all.
"""

from __future__ import annotations

from tether.frame.exif import Exif, signed
from tether.frame.focus_points.canon_areas import choice, marked
from tether.frame.focus_points.focus import NOT_NAMED, CameraFocus, Point

_NAMES = {
    2: "ImageWidth",
    3: "ImageHeight",
    4: "ImageWidthAsShot",
    5: "ImageHeightAsShot",
    0x16: "AFPointsUsed",
    0x1A: "AFPointsUsed20D",
}
_HEAD = 8
_MOST_POINTS = 64
_LONG_BLOCK = 36  # words; there the primary point lies after eight words more


def read(exif: Exif, *, eos: bool) -> CameraFocus | None:
    """Read the focus point of the older block; None if there is none."""
    words = _words(exif)
    if len(words) < _HEAD:
        return None
    count, valid, width, height = words[0], words[1], words[4], words[5]
    masks = _HEAD + 2 * count
    each = (count + 15) // 16
    if not 1 <= count <= _MOST_POINTS or len(words) < masks + each:
        return NOT_NAMED
    up = -1 if eos else 1
    areas = [
        Point(
            width / 2 + signed(words[_HEAD + n]),
            height / 2 + up * signed(words[_HEAD + count + n]),
            words[6],
            words[7],
        )
        for n in range(min(valid, count))
    ]
    place = masks + each + (8 if len(words) == _LONG_BLOCK else 0)
    first = words[place] if not eos and place < len(words) else -1
    return choice(
        areas,
        (width, height),
        focused=marked(words[masks : masks + each], areas),
        chosen=[],
        primary=areas[first] if 0 <= first < len(areas) else None,
        square=eos,
    )


def _words(exif: Exif) -> list[int]:
    """The block's words in order; the reader gives each a name or number of its own."""
    found: list[int] = []
    while len(found) < _HEAD + 3 * _MOST_POINTS:
        n = len(found)
        word = exif.words(f"Exif.CanonPi.{_NAMES.get(n, f'0x{n:04x}')}")
        if not word and n == 0:
            # In CRW files the reader leaves out the first one; the second says the same there.
            word = exif.words("Exif.CanonPi.0x0001")
        if not word:
            break
        found.append(word[0])
    return found
