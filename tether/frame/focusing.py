"""Who focused, and where: the standard's distance, and the makers' notes for the rest.

The values are those of the reader's tables (exiv2 0.28, ExifTool 12.57).
"""

from __future__ import annotations

import math

from tether.frame.exif import Exif
from tether.model import FocusMode

_S, _C = FocusMode.SINGLE, FocusMode.CONTINUOUS
_A, _M = FocusMode.AUTOMATIC, FocusMode.MANUAL

# Codes of each tag; what is not named here says nothing of who focused.
_CODES: tuple[tuple[str, dict[int, FocusMode]], ...] = (
    ("Exif.CanonCs.FocusMode", {0: _S, 4: _S, 256: _S, 1: _C, 5: _C, 257: _C, 2: _A, 3: _M, 6: _M}),
    ("Exif.Sony1.FocusMode2", {2: _S, 6: _S, 3: _C, 4: _A}),
    ("Exif.Sony2.FocusMode2", {2: _S, 6: _S, 3: _C, 4: _A}),
    ("Exif.Fujifilm.FocusMode", {1: _M}),
    ("Exif.Panasonic.FocusMode", {2: _M, 6: _S, 5: _C, 7: _C, 8: _A}),
    ("Exif.OlympusCs.FocusMode", {0: _S, 2: _C, 10: _M}),
    *(
        (f"Exif.{group}.Focus", {3: _M, **dict.fromkeys((16, 32, 272, 288), _S),
                                 **dict.fromkeys((17, 33, 273), _C), 18: _A, 274: _A})
        for group in ("Pentax", "PentaxDng")
    ),
)  # fmt: skip
_NIKON = {"AF-S": _S, "AF-C": _C, "AF-F": _C, "AF-A": _A, "MANUAL": _M, "MF": _M}
_SONY_CODES = {0: _M, 2: _S, 6: _S, 3: _C, 4: _A}
_FUJIFILM_CODES = {0: _M, 1: _S, 2: _C}
_FARTHEST_M = 10_000.0
_AS_GOOD_AS_INFINITY_CM = 5000
_NO_PLACE = 1.25  # times from end to end


def mode(exif: Exif) -> FocusMode | None:
    """Tell the focus mode; None where the metadata does not."""
    nikon = (exif.text("Exif.Nikon3.Focus") or "").upper()
    if nikon in _NIKON:
        return _NIKON[nikon]
    for key, codes in _CODES:
        found = _code(exif, key)
        if found in codes:
            return codes[found]
    # The plain tag is 0 both for manual and for cameras that do not fill it; this block is not.
    sony = _code(exif, "Exif.Sony2Fp.FocusMode")
    if sony is not None:
        return _SONY_CODES.get(sony & 0x7F)
    fujifilm = _code(exif, "Exif.Fujifilm.FocusSetting")
    return _FUJIFILM_CODES.get(fujifilm & 0xF) if fujifilm is not None else None


def distance_m(exif: Exif) -> float | None:
    """Tell where the lens was focused, m; infinity where that is told, None where nothing is."""
    found = _standard(exif) or _canon(exif) or _nikon(exif) or _olympus(exif)
    if found is None or found > _FARTHEST_M:
        return found and math.inf
    return round(found, 3)


def _code(exif: Exif, key: str) -> int | None:
    found = exif.numbers(key)
    return round(found[0]) if found and math.isfinite(found[0]) else None


def _standard(exif: Exif) -> float | None:
    """Exif SubjectDistance: a numerator of 0 is unknown, of all ones infinity (CIPA DC-008)."""
    ratio = exif.ratio("Exif.Photo.SubjectDistance")
    if ratio is None or ratio[0] <= 0:
        return None
    # ExifTool writes infinity as 1/0.
    far = ratio[0] == 0xFFFFFFFF or ratio[1] <= 0
    return math.inf if far else ratio[0] / ratio[1]


def _canon(exif: Exif) -> float | None:
    """Both ends of what the lens's coder can tell, cm; all ones are infinity, 0 is unknown.

    Ends too far apart name no place: a wide lens may tell no more than "past 4 m".
    """
    far, near = (
        (_code(exif, f"Exif.CanonFi.FocusDistance{end}") or 0) & 0xFFFF
        for end in ("Upper", "Lower")
    )
    if not far:
        return None
    if far == 0xFFFF:
        return math.inf if near >= _AS_GOOD_AS_INFINITY_CM else None
    if not near or far > _NO_PLACE * near:
        return None
    return (far + near) / 200


def _nikon(exif: Exif) -> float | None:
    """A code of 40 steps a decade for the mount with a lever, of 12 an octave for the newer one."""
    for group in ("NikonLd2", "NikonLd3", "NikonLd4"):
        code = _code(exif, f"Exif.{group}.FocusDistance")
        if code and 0 < code <= 255:
            return float(0.01 * 10 ** (code / 40))
    code = _code(exif, "Exif.NikonLd4.FocusDistance2")
    return float(2 ** ((code / 256 - 80) / 12)) if code and 0 < code <= 0xFFFF else None


def _olympus(exif: Exif) -> float | None:
    # Bodies disagree about the denominator; the numerator alone is mm on all (ExifTool).
    ratio = exif.ratio("Exif.OlympusFi.FocusDistance")
    if ratio is None or ratio[0] <= 0:
        return None
    return math.inf if ratio[0] == 0xFFFFFFFF else ratio[0] / 1000
