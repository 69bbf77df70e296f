"""The kinds of focus point that the program reads, and how to tell which a file holds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import exiv2

from tether.frame.exif import Exif


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of block: whose it is, its name, and whether a file's notes hold it."""

    maker: str
    name: str
    holds: Callable[[Exif], bool]


def exif_of(path: Path) -> Exif | None:
    """A file's Exif, None where it cannot be read."""
    try:
        image = exiv2.ImageFactory.open(path.read_bytes())
        image.readMetadata()
        return Exif(image.exifData())
    except Exception:  # as in tether.frame.tags
        return None


def kind_of(exif: Exif) -> Kind | None:
    """The first of `KINDS` that a file holds."""
    return next((one for one in KINDS if one.holds(exif)), None)


def _words(*keys: str) -> Callable[[Exif], bool]:
    return lambda exif: any(any(exif.words(key)) for key in keys)


def _numbers(key: str) -> Callable[[Exif], bool]:
    return lambda exif: any(exif.numbers(key))


def _version(mark: bytes) -> Callable[[Exif], bool]:
    return lambda exif: exif.raw("Exif.Nikon3.AFInfo2").startswith(mark)


def _live(group: str) -> Callable[[Exif], bool]:
    return lambda exif: exif.raw(f"Exif.{group}.ContrastDetectAF") == b"\1"


def _note(mark: bytes) -> Callable[[Exif], bool]:
    return lambda exif: exif.raw("Exif.Photo.MakerNote").startswith(mark)


def _sony(name: str) -> Callable[[Exif], bool]:
    return _words(f"Exif.Sony1.{name}", f"Exif.Sony2.{name}")


def _pentax(name: str) -> Callable[[Exif], bool]:
    return _words(f"Exif.Pentax.{name}", f"Exif.PentaxDng.{name}")


def _nikon_viewfinder(exif: Exif) -> bool:
    return bool(exif.raw("Exif.NikonAf2.Version") or exif.raw("Exif.NikonAf22.Version"))


def _om(exif: Exif) -> bool:
    return any(exif.words("Exif.OlympusCs.0x030a")[2:])


KINDS = (
    Kind("Canon", "AF information 2 (0x0026)", _words("Exif.Canon.AFInfo")),
    Kind("Canon", "AF information 3 (0x003c)", _words("Exif.Canon.AFInfo3")),
    Kind("Canon", "AF information (0x0012)", _words("Exif.CanonPi.ImageWidthAsShot")),
    Kind("Nikon", "AF information 2, 0100, live view", _live("NikonAf2")),
    Kind("Nikon", "AF information 2, 0101, live view", _live("NikonAf22")),
    Kind("Nikon", "AF information 2, 0300 and 0301", _version(b"03")),
    Kind("Nikon", "AF information 2, 0400 to 0402", _version(b"04")),
    Kind("Nikon", "viewfinder's centre", _nikon_viewfinder),
    Kind("Nikon", "first AF information, centre", _words("Exif.NikonAf.AFPointsInFocus")),
    Kind("Sony", "FocusLocation with FocusFrameSize", _sony("FocusFrameSize")),
    Kind("Sony", "FocusLocation", _sony("FocusLocation")),
    Kind("Sony", "points on the sensor (0x202a)", _sony("0x202a")),
    Kind("Sony", "flexible spot", _sony("FlexibleSpotPosition")),
    Kind("Fujifilm", "point", _words("Exif.Fujifilm.FocusPoint")),
    Kind("Panasonic", "point and size (0x00de)", _numbers("Exif.Panasonic.0x00de")),
    Kind("Panasonic", "point", _numbers("Exif.Panasonic.AFPointPosition")),
    Kind("Leica", "point, in D-Lux, V-Lux, C-Lux", _note(b"LEICA\0\0\0")),
    Kind("OM System", "target (0x030a)", _om),
    Kind("Olympus", "point and areas", _numbers("Exif.OlympusCs.AFPointSelected")),
    Kind("Pentax, Ricoh", "AF information (0x040c)", _pentax("0x040c")),
    Kind("Pentax", "contrast AF area (0x0231)", _pentax("0x0231")),
    Kind("Ricoh", "point of the GR of 2013", _note(b"Ricoh\0\0\0")),
    Kind("Casio", "point", _words("Exif.Casio2.AFPointPosition")),
)
