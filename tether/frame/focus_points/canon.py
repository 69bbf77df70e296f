"""Canon: the AF information of the maker notes, tags 0x0026 and 0x003c, and the older 0x0012.

Layouts: ExifTool's tables Canon::AFInfo2 and Canon::AFInfo3. Areas are given by their centres, from
the centre of the frame; y grows upwards where the model's name holds EOS, downwards otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence

from tether.frame.exif import Exif, signed
from tether.frame.focus_points import canon_older
from tether.frame.focus_points.canon_areas import choice, marked
from tether.frame.focus_points.crop import by_canon_aspect
from tether.frame.focus_points.focus import (
    IN_WORDS,
    MANUAL,
    NOT_NAMED,
    CameraFocus,
    Point,
)

# Only in this block, and not of an EOS, the masks are followed by the primary point's number.
_WITH_PRIMARY = "Exif.Canon.AFInfo"
_HEAD = 8  # words before the areas: size, mode, areas, valid ones, image and frame sizes
_MOST_AREAS = 4096
_OFF = 0
_ON = {5: "a face", 6: "a face or what it followed"}  # AFAreaMode: face, face and tracking
_MANUAL = {3, 6}  # FocusMode of the camera settings


def read(exif: Exif) -> CameraFocus | None:
    """Read Canon's focus point."""
    if exif.whole("Exif.CanonCs.FocusMode") in _MANUAL:
        return MANUAL
    eos = "EOS" in (exif.text("Exif.Image.Model") or "")
    for key in (_WITH_PRIMARY, "Exif.Canon.AFInfo3"):
        words = exif.words(key)
        if words:
            primary = not eos and key == _WITH_PRIMARY
            return by_canon_aspect(_read(words, eos=eos, primary=primary), exif)
    told = canon_older.read(exif, eos=eos)
    if told is None and exif.words("Exif.CanonSi.AFPointUsed"):
        return IN_WORDS
    return told


def _read(words: Sequence[int], *, eos: bool, primary: bool) -> CameraFocus:
    # The first word counts the block's bytes; in a note that was moved it is anything.
    if len(words) < _HEAD or words[0] != 2 * len(words) or words[2] > _MOST_AREAS:
        return NOT_NAMED
    mode, count, valid, width, height = words[1], words[2], words[3], words[6], words[7]
    masks = _HEAD + 4 * count
    each = (count + 15) // 16
    if mode == _OFF:
        return MANUAL
    if len(words) < masks + each:
        return NOT_NAMED
    up = -1 if eos else 1
    # Slots past the valid ones hold whatever was there before.
    areas = [
        Point(
            width / 2 + signed(words[_HEAD + 2 * count + n]),
            height / 2 + up * signed(words[_HEAD + 3 * count + n]),
            words[_HEAD + n],
            words[_HEAD + count + n],
        )
        for n in range(min(valid, count))
    ]
    first = words[masks + 2 * each + 1] if primary and len(words) > masks + 2 * each + 1 else -1
    chosen = marked(words[masks + each : masks + 2 * each], areas) if eos else []
    return choice(
        areas,
        (width, height),
        focused=marked(words[masks : masks + each], areas),
        chosen=chosen,
        primary=areas[first] if 0 <= first < len(areas) else None,
        square=eos,
        on=_ON.get(mode, ""),
    )
