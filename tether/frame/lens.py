"""The lens's name: Exif's own, else what the maker's notes tell."""

from __future__ import annotations

import re

from tether.frame.exif import Exif

# Each maker's, in falling order of how exactly they name one lens.
_MAKERS = (
    "Exif.Canon.LensModel",
    "Exif.OlympusEq.LensModel",
    *(f"Exif.NikonLd{number}.LensIDNumber" for number in range(1, 5)),
    "Exif.CanonCs.LensType",
    "Exif.Sony1.LensID",
    "Exif.Sony2.LensID",
    "Exif.OlympusEq.LensType",
    "Exif.Panasonic.LensType",
    "Exif.Pentax.LensType",
    "Exif.PentaxDng.LensType",
    "Exif.Nikon3.Lens",
    "Exif.Sony1.LensSpec",
    "Exif.Sony2.LensSpec",
    "Exif.Photo.LensSpecification",
    "Exif.CanonCs.Lens",
)
# What cameras and reader say instead of a name: dashes, zeros, a bare number, or that they
# know none.
_NO_NAME = re.compile(r"[-\s.\d()]*|0(\.0)? ?mm.*|n/?a|none|(unknown|manual) ?.*", re.I)
_LONGEST = 120


def lens(exif: Exif) -> str | None:
    """Name the lens, or None."""
    named = exif.text("Exif.Photo.LensModel")
    if _is_name(named):
        return named
    return next((name for key in _MAKERS if _is_name(name := exif.meaning(key))), None)


def _is_name(text: str | None) -> bool:
    return bool(text) and len(text or "") <= _LONGEST and not _NO_NAME.fullmatch(text or "")
