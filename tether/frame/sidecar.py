"""The XMP sidecar beside a picture: found, read and never written; and whether it is its own."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any

from tether.frame import file
from tether.frame.regions import number, same_shape
from tether.plain import plain

# Raw developers keep masks there; what is larger is no sidecar that anybody needs to wait for.
LARGEST_BYTES = 4_000_000
_SHOWN = 80  # characters of a name that somebody else wrote

# The size of the picture that a sidecar speaks of, in falling order of trust.
_SIZES = (
    ("Xmp.mwg-rs.Regions/mwg-rs:AppliedToDimensions/stDim:w",
     "Xmp.mwg-rs.Regions/mwg-rs:AppliedToDimensions/stDim:h"),
    ("Xmp.exif.PixelXDimension", "Xmp.exif.PixelYDimension"),
    ("Xmp.tiff.ImageWidth", "Xmp.tiff.ImageLength"),
)  # fmt: skip
_NAME = "Xmp.crs.RawFileName"


@dataclass(frozen=True, slots=True)
class Sidecar:
    """A sidecar's name and content; without content `refused` says why."""

    name: str
    data: bytes | bytearray = b""
    refused: str = ""


def find(picture: Path) -> Sidecar | None:
    """Read the sidecar of a picture: NAME.EXT.xmp, which is its alone, else NAME.xmp (XMP, part 3).

    From the picture's own folder only, through no link that leads out of it.
    """
    for stem in (picture.name, picture.stem):
        for suffix in (".xmp", ".XMP"):
            path = picture.with_name(stem + suffix)
            if not os.path.lexists(path):  # most pictures have none
                continue
            try:
                content = file.read(path, within=path.parent, most=LARGEST_BYTES)
            except file.Unreadable as problem:
                if str(problem) == file.GONE:
                    continue
                return Sidecar(plain(path.name), refused=str(problem))
            return Sidecar(plain(path.name), content.data)
    return None


def other_files(xmp: Any, picture: str, width: int, height: int) -> str:
    """Say why a sidecar belongs to another picture than the one of this name and size, px; or not.

    A size of the same shape will do, turned or not: a raw and its JPEG share one sidecar.
    """
    told = {datum.key(): str(datum.value()).strip() for datum in xmp}
    name = told.get(_NAME, "").replace("\\", "/")
    if name and PurePath(name).stem.lower() != PurePath(picture).stem.lower():
        return f"it is of {PurePath(name).name[:_SHOWN]}"
    for across, down in _SIZES:
        sides = number(told.get(across)), number(told.get(down))
        if not sides[0] or not sides[1] or min(sides[0], sides[1]) <= 0:
            continue
        size = sides[0], sides[1]
        if not any(same_shape(size, one) for one in ((width, height), (height, width))):
            return f"it is of {size[0]:.0f} x {size[1]:.0f} px"
    return ""
