"""The luma of a HEIF or AVIF picture, as stored. Runs in the decoder's process.

A HEIF file turns its picture by properties of its own (ISO/IEC 23008-12, 6.5.10 and 6.5.12), which
come before the Exif orientation; decoders apply them. Here they are taken back, for subject areas
and focus points refer to the picture before it was turned.

Neither format has a checksum, and the decoder of HEVC makes a picture of whatever it is given: of
300 files with one other bit in their pixels, none was refused, strictly decoded or not.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tether.frame.coding import coded_anew
from tether.frame.decoded import Decoded
from tether.frame.file import Unreadable
from tether.frame.orientation import upright
from tether.frame.pixels import Luma, check_size

_BYTES_A_PIXEL = 24  # planes, colours and luma of 16 bits, measured on Linux
_LUMA = np.array([0.299, 0.587, 0.114], np.float32)  # as in `pixels`
_CUT = "the file ends too early: it is cut short"
_BAND = 512
_AVIF = frozenset({b"avif", b"avis"})


def read(data: bytes | bytearray, allow: Callable[[int], None]) -> Decoded:
    """Read the primary picture of a HEIF or AVIF file.

    Parameters
    ----------
    data
        Its bytes.
    allow
        Called with the bytes of memory that decoding will need.

    Raises
    ------
    Unreadable
        It cannot be had; the message says why.
    """
    kinds = [kind for kind, end in _boxes(data) if end <= len(data)]
    if len(kinds) < len(list(_boxes(data))):
        raise Unreadable(_CUT)
    if b"meta" not in kinds and b"moov" in kinds:
        raise Unreadable("a sequence of pictures, or a film: only single pictures are judged")
    return (_avif if bytes(data[8:12]) in _AVIF else _heif)(data, allow)


def _heif(data: bytes | bytearray, allow: Callable[[int], None]) -> Decoded:
    import pillow_heif

    # Nothing but the primary picture is looked at.
    pillow_heif.options.THUMBNAILS = False
    pillow_heif.options.DEPTH_IMAGES = False
    pillow_heif.options.AUX_IMAGES = False
    try:
        file = pillow_heif.open_heif(bytes(data), convert_hdr_to_8bit=False)
        if not len(file):
            raise Unreadable("not a HEIF picture that can be read: there is no picture in it")
        image: Any = file[file.primary_index]
        check_size(*image.size)
        allow(_BYTES_A_PIXEL * image.size[0] * image.size[1])
        pixels = np.asarray(image)
    except (ValueError, EOFError, SyntaxError, RuntimeError, OSError) as problem:
        raise Unreadable(f"not a HEIF picture that can be read: {_said(problem)}") from problem
    told = image.info.get("nclx_profile") or {}
    luma, curve = coded_anew(_luma(pixels), told.get("transfer_characteristics"))
    # The library tells them to itself alone; without them no area would be where it belongs.
    turns = image._c_image.transformations
    stored, orientation = _as_stored(luma, turns)
    return Decoded(stored, _which(len(file)), curve=curve, orientation=orientation)


def _avif(data: bytes | bytearray, allow: Callable[[int], None]) -> Decoded:
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = None  # `check_size` says what is too large
    try:
        with Image.open(io.BytesIO(data), formats=["AVIF"]) as image:
            check_size(*image.size)
            allow(_BYTES_A_PIXEL * image.width * image.height)
            pixels = np.asarray(image.convert("RGB"))
            # As the library tells it: of the file's own turns.
            orientation = image.getexif().get(0x0112, 1)
    except (ValueError, EOFError, SyntaxError, RuntimeError, OSError) as problem:
        raise Unreadable(f"not an AVIF picture that can be read: {_said(problem)}") from problem
    return Decoded(_luma(pixels), orientation=orientation if 1 <= orientation <= 8 else 1)


def _luma(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> Luma:
    """Luma of grey or colour, with or without transparency, shape (rows, columns[, bands])."""
    if pixels.ndim == 2:
        return pixels
    out: Luma = np.empty(pixels.shape[:2], pixels.dtype)
    if pixels.shape[2] < 3:
        out[:] = pixels[..., 0]
        return out
    for top in range(0, len(pixels), _BAND):
        rows = slice(top, top + _BAND)
        out[rows] = np.rint(pixels[rows, :, :3].astype(np.float32) @ _LUMA)
    return out


def _as_stored(shown: Luma, turns: tuple[tuple[Any, ...], ...]) -> tuple[Luma, int]:
    """Take the file's turns back; and the Exif orientation that says the same as they do."""
    there = np.arange(6, dtype=np.uint8).reshape(2, 3)
    numbered: Luma = there
    stored = shown
    for name, how, *_ in turns:
        if name == "irot":
            there = np.rot90(there, how // 90)
        elif name == "imir":
            there = np.flip(there, how)
    for name, how, *_ in reversed(turns):
        if name == "irot":
            stored = np.rot90(stored, -how // 90)
        elif name == "imir":
            stored = np.flip(stored, how)
    same = [one for one in range(1, 9) if np.array_equal(upright(numbered, one), there)]
    return stored, same[0]


def _which(count: int) -> str:
    return "" if count < 2 else f"the main one of {count} pictures"


def _boxes(data: bytes | bytearray) -> Iterator[tuple[bytes, int]]:
    """Type and end of each box of the file (ISO/IEC 14496-12, 4.2)."""
    at = 0
    while at + 8 <= len(data):
        size, start = int.from_bytes(data[at : at + 4], "big"), 8
        if size == 1:
            size, start = int.from_bytes(data[at + 8 : at + 16], "big"), 16
        end = len(data) if size == 0 else at + size
        yield bytes(data[at + 4 : at + 8]), end
        if size and size < start:
            return
        at = end


def _said(problem: Exception) -> str:
    text = str(problem).strip().splitlines()
    return text[0][:120] if text else type(problem).__name__
