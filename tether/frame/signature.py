"""What kind of picture a file holds, by its first bytes; its name decides where these do not."""

from __future__ import annotations

import io
from enum import StrEnum

from tether.frame import kinds


class Kind(StrEnum):
    """How a file is decoded."""

    PLAIN = "plain"
    RAW = "raw"
    HEIF = "heif"


_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_PLAIN = (b"\xff\xd8", b"\x89PNG\r\n\x1a\n")
_RAW = (
    b"FUJIFILMCCD-RAW",
    b"\0MRM",  # Minolta
    b"FOVb",  # Sigma
    *(b"IIRO", b"IIRS", b"MMOR"),  # Olympus
    b"IIU\0",  # Panasonic
)
_CANON_RAW_2, _CANON_RAW_3 = b"CR\2", b"ftypcrx "
_HEIF = frozenset(b"heic heix heim heis hevc hevx hevm hevs mif1 mif2 msf1 avif avis".split())
_DNG_VERSION, _SUB_DIRECTORIES, _COLOURS, _MOSAIC = 50706, 330, 262, 32803


def kind_of(data: bytes, name: str) -> Kind | None:
    """Tell how a file is decoded, or None where it is none of what is read.

    Parameters
    ----------
    data
        Its bytes.
    name
        Its name. Many raws are TIFF files with something else in them, and some have no mark.
    """
    suffix = kinds.suffix_of(name)
    if data.startswith(_PLAIN):
        return Kind.PLAIN
    if data.startswith(_TIFF):
        return Kind.RAW if suffix in kinds.RAW or _is_raw(data) else Kind.PLAIN
    if data[4:12] == _CANON_RAW_3 or data.startswith(_RAW):
        return Kind.RAW
    if data[4:8] == b"ftyp" and (data[8:12] in _HEIF or suffix in kinds.HEIF):
        return Kind.HEIF
    return Kind.RAW if suffix in kinds.RAW else None


def _is_raw(data: bytes) -> bool:
    """Whether a TIFF holds a raw under another name: its first picture would be a small one."""
    import tifffile

    if data[8:11] == _CANON_RAW_2:
        return True
    try:
        with tifffile.TiffFile(io.BytesIO(data)) as whole:
            first = whole.pages.first
            pages = [first, *(first.pages or ())] if _SUB_DIRECTORIES in first.tags else [first]
            return _DNG_VERSION in first.tags or any(
                page.tags.valueof(_COLOURS) == _MOSAIC for page in pages
            )
    except Exception:  # it parses what a stranger wrote; reading it says what is wrong
        return False
