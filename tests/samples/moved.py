"""Real cameras' notes with the focus point put elsewhere, so that a wrong axis or order shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import exiv2

from tests.samples.splicing import spliced


@dataclass(frozen=True, slots=True)
class Move:
    """A sample, the tags that put its point elsewhere, and where it is then.

    `places` are centre, width and height in fractions of the frame, the maker's own order; sizes
    of 0 are of points. `patch` is bytes of the notes and what replaces them, where a tag cannot be
    written.
    """

    name: str
    sample: str
    tags: Mapping[str, str | list[int]] = field(default_factory=dict)
    places: tuple[tuple[float, float, float, float], ...] = ()
    patch: tuple[bytes, bytes] = (b"", b"")


def made(move: Move, paths: Mapping[str, Path], jpeg: bytes) -> bytes:
    """A JPEG with the sample's notes, its point moved."""
    picture = spliced(jpeg, paths[move.sample].read_bytes())
    old, new = move.patch
    if old:
        assert picture.count(old) == 1, f"{move.sample} holds other bytes than expected"
        picture = picture.replace(old, new)
    if not move.tags:
        return picture
    image = exiv2.ImageFactory.open(picture)
    image.readMetadata()
    exif = image.exifData()
    for key, value in move.tags.items():
        exif[key] = value if isinstance(value, str) else exiv2.UShortValue(value)
    image.setExifData(exif)
    image.writeMetadata()
    return bytes(image.io().mmap())


def _canon(size: int, points: int, x: int, y: int) -> list[int]:
    """One area of AF information 2: 720 x 960 px of 8688 x 5792, in focus and chosen."""
    signed = (x & 0xFFFF, y & 0xFFFF)
    rest = [0] * (points - 1)
    areas = [one for first in (720, 960, *signed) for one in (first, *rest)]
    head = [2 * size, 13, points, 1, 8688, 5792, 8688, 5792]
    masks = [1, 0, 0, 0] * 2 + [0] * 4
    words = head + areas + masks
    return words + [0] * (size - len(words))


def _nikon(group: str) -> dict[str, str | list[int]]:
    return {
        f"Exif.{group}.ContrastDetectAF": "1",
        f"Exif.{group}.AFImageWidth": "6000",
        f"Exif.{group}.AFImageHeight": "4000",
        f"Exif.{group}.AFAreaXPosition": "1500",
        f"Exif.{group}.AFAreaYPosition": "3000",
        f"Exif.{group}.AFAreaWidth": "300",
        f"Exif.{group}.AFAreaHeight": "200",
    }


_SONY = "exiv2-pr906.exv"
MOVES = (
    Move(
        "Canon EOS, AF information 2",
        "Sigma_28mm_F1.4_DG_HSM_A_for_EOS.exv",
        {"Exif.Canon.AFInfo": _canon(265, 61, 2000, 1000)},
        (((4344 + 2000) / 8688, (2896 - 1000) / 5792, 720 / 8688, 960 / 5792),),
    ),
    Move(
        "Nikon 0100, live view",
        "exiv2-bug1108.exv",
        _nikon("NikonAf2"),
        ((1500 / 6000, 3000 / 4000, 300 / 6000, 200 / 4000),),
    ),
    Move(
        "Nikon 0101, live view",
        "_DSC8437.exv",
        _nikon("NikonAf22"),
        ((1500 / 6000, 3000 / 4000, 300 / 6000, 200 / 4000),),
    ),
    # Byte 4 is 2 as on the Z7: this ExifTool shows the place only then. x 3024 becomes 1000.
    Move(
        "Nikon 0300",
        "CH0_0174.exv",
        places=((1000 / 6048, 2012 / 4024, 285 / 6048, 308 / 4024),),
        patch=(
            b"0300\1\xc1\0\1" + bytes(34) + b"\xa0\x17\xb8\x0f\xd0\x0b\xdc\x07",
            b"0300\2\xc1\0\1" + bytes(34) + b"\xa0\x17\xb8\x0f\xe8\x03\xdc\x07",
        ),
    ),
    Move(
        "Sony, FocusLocation",
        _SONY,
        {"Exif.Sony2.FocusLocation": "6000 4000 4240 2832"},
        ((4240 / 6000, 2832 / 4000, 0, 0),),
    ),
    Move(
        "Sony, FocusLocation with FocusFrameSize",
        _SONY,
        {
            "Exif.Sony2.FocusLocation": "6000 4000 4240 2832",
            "Exif.Sony2.FocusFrameSize": "144 1 44 1 1 1",
        },
        ((4240 / 6000, 2832 / 4000, 400 / 6000, 300 / 4000),),
    ),
    Move(
        "Sony, points on the sensor",
        _SONY,
        {
            "Exif.Sony2.FocusLocation": "0 0 0 0",
            "Exif.Sony2.0x202a": "1 2 128 2 172 1 100 0 200 0 120 0 220 0" + " 255" * 54,
        },
        ((100 / 640, 200 / 428, 0, 0), (120 / 640, 220 / 428, 0, 0)),
    ),
    Move(
        "Fujifilm",
        "exiv2-pr1409.exv",
        {"Exif.Fujifilm.FocusPoint": "1000 900"},
        ((1000 / 4416, 900 / 2944, 0, 0),),
    ),
    Move(
        "Panasonic",
        "exiv2-bug825a.exv",
        {"Exif.Panasonic.AFPointPosition": "64/256 90/256"},
        ((64 / 256, 90 / 256, 0, 0),),
    ),
    Move(
        "Olympus, a place with its own size",
        "olympus-m.zuiko-17mm-f1.2-pro.exv",
        {"Exif.OlympusCs.AFPointSelected": "0/1 20/100 30/100 30/100 44/100"},
        ((0.25, 0.37, 0.10, 0.14),),
    ),
    Move(
        "Pentax, contrast AF area",
        "exiv2-bug1155a.exv",
        {"Exif.PentaxDng.0x0231": "100 80 90 60"},
        ((145 / 720, 110 / 480, 90 / 720, 60 / 480),),
    ),
    Move(
        "Casio",
        "Casio2.jpg",
        {"Exif.Casio2.AFPointPosition": "100 352 60 240"},
        ((100 / 352, 60 / 240, 0, 0),),
    ),
)
