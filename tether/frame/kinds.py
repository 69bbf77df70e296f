"""Which names are pictures, by their suffix alone."""

from __future__ import annotations

import re
from pathlib import PurePath

JPEG = frozenset({".jpg", ".jpeg", ".jpe", ".jfif"})
PNG = frozenset({".png"})
TIFF = frozenset({".tif", ".tiff"})

RAW = frozenset(
    {
        *(".3fr", ".fff"),  # Hasselblad
        *(".arw", ".sr2", ".srf"),  # Sony
        *(".cr2", ".cr3", ".crw"),  # Canon
        *(".dcr", ".kdc"),  # Kodak
        ".dng",  # Adobe, Leica, Pentax, telephones
        ".erf",  # Epson
        ".gpr",  # GoPro
        *(".cap", ".iiq"),  # Phase One
        *(".mef", ".mos"),  # Mamiya, Leaf
        ".mrw",  # Minolta
        *(".nef", ".nrw"),  # Nikon
        *(".orf", ".ori"),  # Olympus, OM System
        *(".pef", ".ptx"),  # Pentax
        *(".raf", ".raw"),  # Fujifilm; Leica and Panasonic
        *(".rw2", ".rwl"),  # Panasonic, Leica
        ".srw",  # Samsung
        ".x3f",  # Sigma
    }
)
# Those with an s hold sequences: taken up, so that their line can say so.
HEIF = frozenset({".avif", ".heic", ".heif", ".hif", ".avifs", ".heics", ".heifs"})

_PICTURES = JPEG | PNG | TIFF | RAW | HEIF

EVIDENCE = "-evidence"
"""Ends the names of the pictures of the evidence, before a number and `.png`."""

_DRAWN = re.compile(rf"{EVIDENCE}(-\d+)?\.png$")

# Thumbnails and bins that storage boxes keep beside the pictures, with picture suffixes.
_FOLDERS_PASSED_OVER = frozenset({"@eadir", "#recycle", "#snapshot", "$recycle.bin", "lost+found"})


def suffix_of(name: str) -> str:
    """Return the suffix of a file name or path in lower case, with its dot."""
    # Every sweep asks this of every file, and a Path costs twenty times as much.
    return name[dot:].lower() if (dot := name.rfind(".")) > 0 else ""


def is_picture(name: str) -> bool:
    """Return whether a file name (without its folder) is a picture's.

    A picture of the evidence, which this program draws, is none.
    """
    if name.startswith(".") or suffix_of(name) not in _PICTURES:
        return False
    return EVIDENCE not in name or _DRAWN.search(name) is None


def is_passed_over(folder_name: str) -> bool:
    """Return whether a subfolder of this name is left alone: hidden, a bin or thumbnails."""
    return folder_name.startswith(".") or folder_name.lower() in _FOLDERS_PASSED_OVER


def is_picture_path(relative: str) -> bool:
    """Return whether a path relative to the folder is a picture's, in no folder passed over."""
    *folders, name = PurePath(relative).parts
    return is_picture(name) and not any(is_passed_over(folder) for folder in folders)


def is_raw(path: PurePath) -> bool:
    """Return whether a picture's file is a raw, which may have a JPEG of its exposure beside it."""
    return suffix_of(path.name) in RAW
