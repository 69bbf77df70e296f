"""The camera's focus point by its maker: who reads which notes."""

from __future__ import annotations

from collections.abc import Callable

from tether.frame.exif import Exif
from tether.frame.focus_points import (
    canon,
    casio,
    fujifilm,
    nikon,
    olympus,
    panasonic,
    pentax,
    sony,
)
from tether.frame.focus_points.focus import CameraFocus

# The first word of Exif Make, in small letters.
_READERS: dict[str, Callable[[Exif], CameraFocus | None]] = {
    "asahi": pentax.read,
    "canon": canon.read,
    "casio": casio.read,
    "fujifilm": fujifilm.read,
    "leica": panasonic.read,
    "nikon": nikon.read,
    "olympus": olympus.read,
    "om": olympus.read,
    "panasonic": panasonic.read,
    "pentax": pentax.read,
    "ricoh": pentax.read,
    "sony": sony.read,
}


def read(exif: Exif) -> CameraFocus | None:
    """Read where the camera says it focused.

    Returns
    -------
    CameraFocus or None
        Without points it says why; None where the notes hold nothing of the kind.
    """
    make = (exif.text("Exif.Image.Make") or "").lower().split()
    reader = _READERS.get(make[0]) if make else None
    return reader(exif) if reader is not None else None
