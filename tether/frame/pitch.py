"""The distance of two pixels on the sensor, from what the metadata says of the sensor's size."""

from __future__ import annotations

import math

from tether.frame.exif import Exif

_UNIT_MM = {2: 25.4, 3: 10.0, 4: 1.0, 5: 0.001}
FULL_FRAME_DIAGONAL_MM = math.hypot(36.0, 24.0)


def pitch_um(
    exif: Exif, width: int, height: int, full: tuple[int, int] | None = None
) -> float | None:
    """Tell the pixel pitch of a picture of `width` x `height` px in µm.

    By the focal plane's resolution where that is told, else by the focal length in 35 mm terms,
    which has the diagonal angle of view of 36 x 24 mm (CIPA DCG-001). `full` is the size that the
    resolution is written for where the file does not say, px.
    """
    long_side = max(width, height)
    pitch = _by_resolution(exif, long_side, max(full or (long_side,))) or _by_35mm(
        exif, math.hypot(width, height)
    )
    # Phones begin near 0.5 µm; nothing that takes pictures has pixels of 100 µm.
    return round(pitch, 3) if pitch is not None and 0.3 < pitch < 100 else None


def _by_resolution(exif: Exif, long_side: int, full: int) -> float | None:
    per_unit = exif.number("Exif.Photo.FocalPlaneXResolution")
    unit = _UNIT_MM.get(exif.whole("Exif.Photo.FocalPlaneResolutionUnit") or 2)
    if not per_unit or not unit:
        return None
    # Written for the recorded size; a file reduced since then has larger pixels.
    sides = (exif.whole(f"Exif.Photo.Pixel{axis}Dimension") or 0 for axis in "XY")
    return 1000 * unit / per_unit * (max(sides) or full) / long_side


def _by_35mm(exif: Exif, diagonal: float) -> float | None:
    focal = exif.number("Exif.Photo.FocalLength")
    equivalent = exif.number("Exif.Photo.FocalLengthIn35mmFilm")
    if not focal or not equivalent:
        return None
    return 1000 * FULL_FRAME_DIAGONAL_MM * focal / equivalent / diagonal
