"""What a raw file shows: the camera's own full-size JPEG inside it, else its green samples.

Runs in the decoder's process, for LibRaw reads a stranger's bytes.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from tether.frame.file import Unreadable
from tether.frame.green import PERIODS, Mosaic, green_luma
from tether.frame.pixels import Luma, check_size

LEAST_SHARE = 0.7
"""Long side of an embedded JPEG that is judged, of the long side at full size."""

_BYTES_A_PIXEL = 16  # what LibRaw and the filling in take at most, measured on Linux
# LibRaw's own default (`adjust_maximum_thr`): a sensor that is full a little below what the file
# says is told by its largest count.
_FULL_FROM = 0.75
_NO_MORE = "the raw's pixels are damaged, or it is cut short"


def read(
    source: str | bytes | bytearray, allow: Callable[[int], None]
) -> tuple[bytes | Luma, int, int]:
    """Read a raw file.

    Parameters
    ----------
    source
        Its name, by which LibRaw reads as much of it as it needs, or its bytes.
    allow
        Called with the bytes of memory that decoding will need.

    Returns
    -------
    tuple
        A JPEG that is to be judged, or luma of shape (height, width); and width and height at
        full size, px, as stored.

    Raises
    ------
    Unreadable
        Neither can be had; the message says why.
    """
    import rawpy

    with rawpy.RawPy() as raw:
        try:
            if isinstance(source, str):
                raw.open_file(source)
            else:
                raw.open_buffer(io.BytesIO(source))
        except rawpy.LibRawError as problem:
            raise Unreadable(f"not a raw file that can be read: {_said(problem)}") from problem
        left, top, width, height = _frame(raw.sizes)
        check_size(width, height)
        jpeg = _jpeg(raw, width, height)
        if jpeg is not None:
            return jpeg, width, height
        allow(_BYTES_A_PIXEL * raw.sizes.raw_width * raw.sizes.raw_height)
        try:
            raw.unpack()
            counts = raw.raw_image
        except (rawpy.LibRawError, ValueError) as problem:
            raise Unreadable(_NO_MORE) from problem
        if counts is None:
            raise Unreadable("a kind of raw whose samples are not read, and no full-size JPEG")
        mosaic = _mosaic(raw, left, top, counts.ndim == 3)
        cut = counts[top : top + height, left : left + width]
        return green_luma(_greens(cut), mosaic), width, height


def _frame(sizes: Any) -> tuple[int, int, int, int]:
    """Left, top, width and height of the picture that the camera means, in px of the samples.

    That is the size of the camera's JPEG, to which focus points refer; else all that saw light.
    """
    seen = sizes.left_margin, sizes.top_margin, sizes.width, sizes.height
    meant = sizes.crop_left_margin, sizes.crop_top_margin, sizes.crop_width, sizes.crop_height
    within = meant[0] + meant[2] <= sizes.raw_width and meant[1] + meant[3] <= sizes.raw_height
    large = min(meant[2] / max(seen[2], 1), meant[3] / max(seen[3], 1)) >= LEAST_SHARE
    return meant if within and large else seen


def _jpeg(raw: Any, width: int, height: int) -> bytes | None:
    import rawpy

    try:
        thumbnail = raw.extract_thumb()
        if thumbnail.format is not rawpy.ThumbFormat.JPEG:
            return None
        high, wide = simplejpeg.decode_jpeg_header(thumbnail.data)[:2]
    except (rawpy.LibRawError, ValueError, NotImplementedError):
        return None
    # One that lies the other way would not be in the frame that focus points refer to.
    alike = (wide >= high) == (width >= height)
    full = max(wide, high) >= LEAST_SHARE * max(width, height)
    return bytes(thumbnail.data) if full and alike else None


def _greens(counts: NDArray[np.uint16]) -> NDArray[np.uint16]:
    """The plane that holds the greens; of three colours a pixel the second is green."""
    plane = counts[..., 1] if counts.ndim == 3 else counts
    # LibRaw fills what is missing with one number, and does not always say so.
    if plane[-1].min() == plane[-1].max() == 0:
        raise Unreadable(_NO_MORE)
    return plane


def _mosaic(raw: Any, left: int, top: int, whole: bool) -> Mosaic:
    """How the samples from this place on are laid out and counted."""
    if abs(raw.sizes.pixel_aspect - 1) > 0.01:
        raise Unreadable("its pixels are not square, and it holds no full-size JPEG")
    if whole or raw.num_colors == 1:
        colours = np.ones((1, 1), np.intp)
    else:
        names = raw.color_desc.decode("ascii", "replace")
        colours = _tile(raw, left, top)
        if not all(names[one : one + 1] == "G" for one in set(colours.flat) & {1, 3}):
            raise Unreadable("its filter colours are not read, and it holds no full-size JPEG")
    black = np.array(raw.black_level_per_channel, np.float32)[colours]
    told = [raw.white_level, *(raw.camera_white_level_per_channel or ())]
    white = min(one for one in told if one > float(black.max()))
    return Mosaic((colours == 1) | (colours == 3), black, float(white), _FULL_FROM)


def _tile(raw: Any, left: int, top: int) -> NDArray[np.intp]:
    """The smallest tile of the filter array that repeats."""
    side = 2 * max(PERIODS)
    seen = np.array([[raw.raw_color(top + y, left + x) for x in range(side)] for y in range(side)])
    for period in PERIODS:
        tile = seen[:period, :period]
        if np.array_equal(np.tile(tile, (side // period, side // period)), seen):
            return tile
    raise Unreadable("its colour filters are laid out in a way that is not read")


def _said(problem: Exception) -> str:
    import rawpy

    if isinstance(problem, rawpy.LibRawFileUnsupportedError):
        return "of a kind that is not known, or no raw at all"
    if isinstance(problem, rawpy.LibRawIOError):
        return "it ends too early"
    told = problem.args[0] if problem.args else ""
    text = told.decode("utf-8", "replace") if isinstance(told, bytes) else str(told)
    return text[:1].lower() + text[1:] or type(problem).__name__
