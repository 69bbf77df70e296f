"""Which names are pictures, by their suffix alone."""

from __future__ import annotations

import os
from enum import StrEnum
from pathlib import PurePath

RECORD = "tether-record.sqlite"

JPEG = frozenset({".jpg", ".jpeg", ".jpe", ".jfif"})
PNG = frozenset({".png"})
TIFF = frozenset({".tif", ".tiff"})
READ_NOW = JPEG | PNG | TIFF

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
HEIF = frozenset({".avif", ".heic", ".heif", ".hif"})
NOT_READ_YET = RAW | HEIF

_PICTURES = READ_NOW | NOT_READ_YET

# Thumbnails and bins that storage boxes keep beside the pictures, with picture suffixes.
_FOLDERS_PASSED_OVER = frozenset({"@eadir", "#recycle", "#snapshot", "$recycle.bin", "lost+found"})


class Kind(StrEnum):
    """What a name promises about its file."""

    READ_NOW = "read now"
    NOT_READ_YET = "not read yet"
    PASSED_OVER = "passed over"


def suffix_of(name: str) -> str:
    """Return the suffix of a file name or path in lower case, with its dot."""
    return os.path.splitext(name)[1].lower()  # noqa: PTH122  a Path costs ten times as much a file


def kind_of(name: str) -> Kind:
    """Return what a file name (without its folder) promises."""
    if name.startswith((".", RECORD)):
        return Kind.PASSED_OVER
    suffix = suffix_of(name)
    if suffix in READ_NOW:
        return Kind.READ_NOW
    if suffix in NOT_READ_YET:
        return Kind.NOT_READ_YET
    return Kind.PASSED_OVER


def is_picture(name: str) -> bool:
    """Return whether a file name (without its folder) is a picture's, read now or not yet."""
    return not name.startswith((".", RECORD)) and suffix_of(name) in _PICTURES


def is_passed_over(folder_name: str) -> bool:
    """Return whether a subfolder of this name is left alone: hidden, a bin or thumbnails."""
    return folder_name.startswith(".") or folder_name.lower() in _FOLDERS_PASSED_OVER


def is_picture_path(relative: str) -> bool:
    """Return whether a path relative to the folder is a picture's, in no folder passed over."""
    *folders, name = PurePath(relative).parts
    return is_picture(name) and not any(is_passed_over(folder) for folder in folders)


def is_read(path: PurePath) -> bool:
    """Return whether a picture's file is one that can be judged."""
    return suffix_of(path.name) not in NOT_READ_YET


def why_not_read(path: PurePath) -> str:
    """Say of a file that `is_read` refuses why it is not judged, and what helps."""
    kind = "HEIF" if suffix_of(path.name) in HEIF else "raw"
    return f"{kind} files are not read yet: have the camera save a JPEG as well"
