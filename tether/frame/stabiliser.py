"""Whether a stabiliser was on, from the makers' notes; the standard has no tag for it.

The values are those of the reader's tables (exiv2 0.28, ExifTool 12.57).
"""

from __future__ import annotations

from collections.abc import Callable

from tether.frame.exif import Exif

Numbers = tuple[float, ...]
_HELD_OFF = 5


def stabilised(exif: Exif) -> bool | None:
    """Tell whether a stabiliser was on; None where nothing is told or there is none."""
    for key, told in _MAKERS:
        found = exif.numbers(key)
        if found and (on := told(found)) is not None:
            return on
    return None


def _one_of(on: set[int], off: set[int], at: int = 0) -> Callable[[Numbers], bool | None]:
    def told(found: Numbers) -> bool | None:
        value = round(found[at]) if at < len(found) else None
        return True if value in on else False if value in off else None

    return told


def _shake_reduction(found: Numbers) -> bool | None:
    # The first byte is the outcome, the second what was set: even is off, 5 is held off.
    setting = round(found[1]) if len(found) > 1 else None
    return None if setting is None else bool(setting & 1) and setting != _HELD_OFF


_SONY = _one_of({1}, {0})
_MAKERS: tuple[tuple[str, Callable[[Numbers], bool | None]], ...] = (
    ("Exif.CanonCs.ImageStabilization", _one_of({1, 2, 3, 4, 257, 258, 259, 260}, {0, 256})),
    ("Exif.NikonVr.VibrationReduction", _one_of({1}, {2})),
    ("Exif.Sony1.ImageStabilization", _SONY),
    ("Exif.Sony2.ImageStabilization", _SONY),
    ("Exif.Fujifilm.ImageStabilization", _one_of({1, 2}, {0}, at=1)),
    ("Exif.Panasonic.ImageStabilization", _one_of({2, 4, 5, 6, 7, 9, 10, 11, 12}, {3})),
    ("Exif.OlympusCs.ImageStabilization", _one_of({1, 2, 3, 4}, {0})),
    ("Exif.Pentax.ShakeReduction", _shake_reduction),
    ("Exif.PentaxDng.ShakeReduction", _shake_reduction),
)
