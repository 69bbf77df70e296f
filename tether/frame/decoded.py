"""What a decoder found in a picture's file."""

from __future__ import annotations

from dataclasses import dataclass

from tether.frame.pixels import Luma
from tether.sharpness.curve import ToneCurve


@dataclass(frozen=True, slots=True)
class Decoded:
    """A picture's luma, shape (height, width), in coded values, as stored, and what goes with it.

    `said` tells in words which of a file's pictures it is, where there are several. `full` is the
    size in px that the file's metadata is written for, where it is another than the luma's. `curve`
    and `orientation` are there where the decoder knows better than the Exif tags.
    """

    luma: Luma
    said: str = ""
    full: tuple[int, int] | None = None
    curve: ToneCurve | None = None
    orientation: int | None = None
