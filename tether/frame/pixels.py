"""A picture's luma, at full resolution and in the file's own coding, from its bytes."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tether.frame import jpeg, tiff
from tether.frame.file import Unreadable

_log = logging.getLogger(__name__)

Luma = NDArray[np.uint8] | NDArray[np.uint16]
Coded = bytes | bytearray

# Twice the largest sensors; a header may promise anything, and decoding would reserve it.
LARGEST_PIXELS = 300_000_000
SMALLEST_SIDE = 64

# ITU-R BT.601 luma of the coded values: what a JPEG stores as its first component.
_LUMA = (0.299, 0.587, 0.114)

# How libtiff says so.
_NOT_BUILT_IN = ("not configured", "not implemented")


def luma(data: Coded) -> Luma:
    """Decode a JPEG, PNG or TIFF to its luma.

    Returns
    -------
    array of shape (height, width), uint8 or uint16, in the coded values of the file, unrotated

    Raises
    ------
    Unreadable
        Not one of these formats, damaged or cut short, or of a size that cannot be judged.
    """
    reader = _reader(data)
    if reader is None:
        raise Unreadable("not a JPEG, PNG or TIFF picture, whatever its name says")
    return reader(data)


def _reader(data: Coded) -> Callable[[Coded], Luma] | None:
    if data.startswith(b"\xff\xd8"):
        return _jpeg
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return _png
    if data.startswith((b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")):
        return _tiff
    return None


def _jpeg(data: Coded) -> Luma:
    check_size(*jpeg.size(data))
    return jpeg.luma(data)


def _png(data: Coded) -> Luma:
    # Its chunks have checksums. One of a chunk without pixels is no matter: it is passed over.
    return _through_vips(data, "error")


def _tiff(data: Coded) -> Luma:
    found = tiff.layout(data)
    check_size(found.width, found.height)
    tiff.check(data, found)
    # Of a tile libvips heeds an error only when it is to heed warnings; it then heeds none of them.
    return _through_vips(data, "warning" if found.tiled else "error")


def _through_vips(data: Coded, fail_on: str) -> Luma:
    # Loading libvips takes a moment: only a folder with such files pays it.
    import pyvips

    try:
        image = pyvips.Image.new_from_buffer(data, "", access="sequential", fail_on=fail_on)
        check_size(image.width, image.height)
        flat = _one_band(image)
        return np.asarray(flat.numpy())
    except pyvips.Error as problem:
        _log.info("not decoded: %s", _short(problem))
        if any(words in _short(problem) for words in _NOT_BUILT_IN):
            raise Unreadable("it is compressed in a way that is not read") from problem
        raise Unreadable("the picture is damaged or cut short") from problem


def _one_band(image: Any) -> Any:
    if image.format not in {"uchar", "ushort"}:
        raise Unreadable(f"samples of kind {image.format} are not read: 8 or 16 bits are")
    kind = image.format
    if image.interpretation == "cmyk":
        image = image.colourspace("srgb")
        kind = "uchar"
    if image.bands >= 3:
        image = image.extract_band(0, n=3).recomb([list(_LUMA)]).rint()
    elif image.bands > 1:
        image = image.extract_band(0)
    return image.cast(kind)


def check_size(width: int, height: int) -> None:
    """Refuse a picture that is too large or too small to be judged.

    Raises
    ------
    Unreadable
        It is one of these.
    """
    if width * height > LARGEST_PIXELS:
        raise Unreadable(
            f"{width} x {height} px is more than can be judged ({LARGEST_PIXELS // 10**6} MP)"
        )
    if min(width, height) < SMALLEST_SIDE:
        raise Unreadable(
            f"{width} x {height} px is too small to judge: at least "
            f"{SMALLEST_SIDE} x {SMALLEST_SIDE} are needed"
        )


def _short(problem: Exception) -> str:
    said = str(getattr(problem, "detail", "") or problem).strip().splitlines()
    return said[0].strip() if said else type(problem).__name__
