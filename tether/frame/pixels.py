"""A picture's luma, at full resolution and in the file's own coding, from its bytes."""

from __future__ import annotations

import io
import logging
from collections.abc import Callable
from typing import Any

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from tether.frame.file import Unreadable

_log = logging.getLogger(__name__)

Luma = NDArray[np.uint8] | NDArray[np.uint16]
Coded = bytes | bytearray

# Twice the largest sensors; a header may promise anything, and decoding would reserve it.
LARGEST_PIXELS = 300_000_000
SMALLEST_SIDE = 64

# ITU-R BT.601 luma of the coded values: what a JPEG stores as its first component.
_LUMA = (0.299, 0.587, 0.114)


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
        return _through_vips
    if data.startswith((b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")):
        return _tiff
    return None


def _jpeg(data: Coded) -> Luma:
    try:
        height, width = simplejpeg.decode_jpeg_header(data)[:2]
    except ValueError as problem:
        _log.info("no JPEG: %s", _short(problem))
        raise Unreadable(
            "not a JPEG that can be read: its head is damaged, or of a rare kind"
        ) from problem
    check_size(width, height)
    try:
        decoded = simplejpeg.decode_jpeg(data, colorspace="GRAY", strict=True)
    except ValueError as problem:
        if "Premature end" in str(problem):
            raise Unreadable("the JPEG ends too early: it is cut short") from problem
        if "before marker 0xd9" not in str(problem):
            raise Unreadable(f"the JPEG is damaged: {_short(problem)}") from problem
        # All pixels came before the stray bytes: some cameras write padding ahead of the end.
        decoded = simplejpeg.decode_jpeg(data, colorspace="GRAY", strict=False)
    return np.asarray(decoded[..., 0])


def _tiff(data: Coded) -> Luma:
    # libtiff fills what is missing with zeros and only warns: ask first where the pixels end.
    import tifffile

    # What is wrong is told by the frame's line; its own words would land on the screen.
    logging.getLogger("tifffile").setLevel(logging.CRITICAL)
    try:
        with tifffile.TiffFile(io.BytesIO(data)) as whole:
            page = whole.pages.first
            ends = [o + n for o, n in zip(page.dataoffsets, page.databytecounts, strict=True)]
    except Exception as problem:  # it parses what a stranger wrote, and raises what comes of it
        _log.info("no TIFF: %s", _short(problem))
        raise Unreadable("not a TIFF that can be read: its directory is damaged") from problem
    if not ends or max(ends) > len(data):
        raise Unreadable("the TIFF ends too early: it is cut short")
    return _through_vips(data)


def _through_vips(data: Coded) -> Luma:
    # Loading libvips takes a moment: only a folder with such files pays it.
    import pyvips

    try:
        image = pyvips.Image.new_from_buffer(data, "", access="sequential", fail_on="truncated")
        check_size(image.width, image.height)
        flat = _one_band(image)
        return np.asarray(flat.numpy())
    except pyvips.Error as problem:
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
