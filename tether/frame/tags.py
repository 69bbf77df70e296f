"""What a picture's metadata says, read once a frame from its bytes.

`read` hands a stranger's bytes to a C++ library: `fence` runs it in a process of its own.
"""

from __future__ import annotations

import logging
import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from tether.frame.focus_points.focus import CameraFocus
from tether.frame.regions import Regions, regions
from tether.frame.sidecar import Sidecar, other_files
from tether.model import Exposure
from tether.sharpness.curve import ToneCurve

if TYPE_CHECKING:
    from tether.frame.exif import Exif

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Tags:
    """What the metadata says; None where it says nothing.

    `subject` is Exif SubjectArea or SubjectLocation as written (2 to 4 numbers, px), and
    `recorded` the size in px that it is written for. `focus` is the camera's own focus point.
    `regions` come from the sidecar where it has some, else from the picture's file. `problems` says
    in sentences what could not be read. `taken_s` is when the picture was taken, in s since 1970 of
    whatever time zone the camera's clock is set to.
    """

    exposure: Exposure = field(default_factory=Exposure)
    orientation: int = 1
    subject: tuple[int, ...] | None = None
    recorded: tuple[int, int] | None = None
    curve: ToneCurve = ToneCurve.SRGB
    focus: CameraFocus | None = None
    regions: Regions | None = None
    problems: tuple[str, ...] = ()
    taken_s: float | None = None


def read(
    source: str | bytes | bytearray, width: int, height: int, full: tuple[int, int] | None = None
) -> Tags:
    """Read the tags of a picture of `width` x `height` px; damaged metadata yields what it can.

    `source` is its bytes, or its name. `full` is the size that the tags are written for where they
    do not say, px; None for the same.
    """
    from tether.frame.exif import Exif
    from tether.frame.exposure import exposure
    from tether.frame.focus_points.read import read as focus_point
    from tether.frame.taken import taken_s

    try:
        image = _opened(source)
        exif = Exif(image.exifData())
    except MemoryError:
        raise
    except Exception as problem:  # the binding raises its own and built-in kinds
        _log.info("no metadata read: %s", problem)
        return Tags(problems=("its metadata is damaged: judged without it",))
    orientation = exif.whole("Exif.Image.Orientation")
    recorded = (
        exif.whole("Exif.Photo.PixelXDimension"),
        exif.whole("Exif.Photo.PixelYDimension"),
    )
    return Tags(
        exposure=exposure(exif, width, height, full),
        orientation=orientation if orientation and orientation <= 8 else 1,
        subject=_subject(exif),
        recorded=(recorded[0], recorded[1]) if recorded[0] and recorded[1] else None,
        curve=_curve(exif),
        focus=focus_point(exif),
        regions=regions(image.xmpData()),
        taken_s=taken_s(exif),
    )


def with_sidecar(tags: Tags, sidecar: Sidecar, picture: str, width: int, height: int) -> Tags:
    """Add what a sidecar says to the tags of the picture of this name and size, px."""
    why = sidecar.refused
    found = None
    if not why:
        try:
            xmp = _opened(sidecar.data).xmpData()
            why = "" if list(xmp) else "there is no XMP in it that can be read"
            why = why or other_files(xmp, picture, width, height)
            found = regions(xmp, sidecar.name)
        except MemoryError:
            raise
        except Exception as problem:  # as above
            _log.info("%s not read: %s", sidecar.name, problem)
            why = "there is no XMP in it that can be read"
    if why:
        return replace(tags, problems=(*tags.problems, f"{sidecar.name} is left aside: {why}"))
    return replace(tags, regions=found or tags.regions)


def _opened(source: str | bytes | bytearray) -> Any:
    import exiv2

    image = exiv2.ImageFactory.open(source)
    image.readMetadata()
    return image


def _subject(exif: Exif) -> tuple[int, ...] | None:
    for key, counts in (("SubjectArea", (2, 3, 4)), ("SubjectLocation", (2,))):
        found = exif.numbers(f"Exif.Photo.{key}")
        if len(found) in counts and all(math.isfinite(one) and one >= 0 for one in found):
            return tuple(round(one) for one in found)
    return None


def _curve(exif: Exif) -> ToneCurve:
    # 2 is not in the standard but written by some; R03 is DCF's mark of Adobe RGB.
    adobe = exif.whole("Exif.Photo.ColorSpace") == 2
    index = exif.text("Exif.Iop.InteroperabilityIndex")
    return ToneCurve.GAMMA_2_2 if adobe or index == "R03" else ToneCurve.SRGB
