"""How a frame was taken, from its Exif (CIPA DC-008) and what makers add to it."""

from __future__ import annotations

from tether.frame.exif import Exif
from tether.frame.focusing import distance_m, mode
from tether.frame.lens import lens
from tether.frame.pitch import pitch_um
from tether.frame.stabiliser import stabilised
from tether.model import Exposure


def exposure(exif: Exif, width: int, height: int, full: tuple[int, int] | None = None) -> Exposure:
    """Read the exposure of a picture of `width` x `height` px, as stored.

    `full` is the size that its tags are written for where they do not say, px.
    """
    speed = exif.numbers("Exif.Photo.ShutterSpeedValue")
    stop = exif.numbers("Exif.Photo.ApertureValue")
    # APEX: t = 2^-Tv, N = 2^(Av/2); used only where the plain tags are missing (CIPA DC-008).
    shutter = exif.number("Exif.Photo.ExposureTime") or _power(-speed[0] if speed else None)
    f_number = exif.number("Exif.Photo.FNumber") or _power(stop[0] / 2 if stop else None)
    return Exposure(
        shutter_s=float(f"{shutter:.6g}") if shutter else None,
        f_number=round(f_number, 2) if f_number else None,
        focal_length_mm=exif.number("Exif.Photo.FocalLength"),
        iso=_iso(exif),
        lens=lens(exif),
        body=exif.text("Exif.Image.Model"),
        pixel_pitch_um=pitch_um(exif, width, height, full),
        focal_length_35mm_mm=exif.number("Exif.Photo.FocalLengthIn35mmFilm"),
        focus_distance_m=distance_m(exif),
        focus_mode=mode(exif),
        stabilised=stabilised(exif),
    )


def _power(exponent: float | None) -> float | None:
    if exponent is None or not -30 < exponent < 30:
        return None
    return float(2.0**exponent)


def _iso(exif: Exif) -> int | None:
    """The sensitivity; the field holds 65535 where it is larger, and then others tell it."""
    found = exif.whole("Exif.Photo.ISOSpeedRatings")
    if found is not None and found < 65535:
        return found
    for key in ("RecommendedExposureIndex", "StandardOutputSensitivity", "ISOSpeed"):
        more = exif.whole(f"Exif.Photo.{key}")
        if more is not None:
            return more
    return found
