"""The codes that a frame shows: QR codes, and bar codes along a line across their bars.

Other kinds of code are not taken: each more would read textures as well, and ask for its time.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.aslant import across, band, bars_of, evened
from tether.frame.code_places import CELL, Place, places
from tether.frame.pixels import Luma
from tether.frame.scanned import BARS, QR, Scanned, scan
from tether.frame.small_copies import eight_bits, room

if TYPE_CHECKING:
    from tether.frame.view import Small

_MOST_LOOKS = 4  # at places of a frame
_MOST_BANDS, _MOST_SQUARES = 3, 2  # that are read there, for bar codes and for QR codes
# Of the change at the likeliest place: of 585 slates that could be read 581 were that place, and
# the rest had 0.92 of it or more. The next ones may be the same code at another size, or, beside a
# code that was read, another.
_LIKELY, _BESIDE = 0.65, 0.5
_QR_PX = 80_000  # of a place that are read: a name of 100 characters has modules of 4 px then
# Of the px in a code's midst: of 669 codes that were read none had less than 0.26 or more than 0.66
# on the dark side, or more than 0.29 in the middle third between dark and light.
_LEAST_INK, _MOST_BETWEEN = 0.2, 0.33
_TAIL = 0.05  # of these px, that may be darker or lighter than ink and paper
# Of all change goes one way across bars, and does not in a QR code: 0.59 and more, 0.31 and less.
_BARS, _NO_BARS = 0.55, 0.45
_ABOUT = 24  # px of the small picture, a side, about a place's peak: a code's midst
_PATCH = 96  # px that are looked at there, a side
# Of a place's diagonal: the length of the band that is read across its bars, since a place may be
# half of a code alone, and its height.
_LONG, _TALL = 1.25, 0.15
_GAP = 2  # cells: the widest gap in a code


def codes(luma: Luma) -> list[Scanned]:
    """Find and read codes, from 4 % of the frame's longer side, however they are turned.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), of any size.

    Returns
    -------
    list
        What was read, with corners in px of the frame. One code may be read more than once.
    """
    found: list[Scanned] = []
    looks, bands, squares = _MOST_LOOKS, _MOST_BANDS, _MOST_SQUARES
    likely = places(luma)
    for place in likely:
        least = (_BESIDE if found else _LIKELY) * likely[0].change
        if place.change < least or not looks:
            break
        if any(_holds(code, place) for code in found):
            continue
        looks -= 1
        patch = _patch(luma, place)
        if not _two_tones(patch):
            continue
        angle, share = across(patch)
        if share > _BARS and bands:
            bands -= 1
            found += _bars(luma, place, angle)
        elif share < _NO_BARS and squares:
            squares -= 1
            found += _qr(luma, place)
    return found


def warm() -> None:
    """Load once what the first look would load, so that the first frame does not wait for it.

    OpenCV is kept to one thread, for the whole process.
    """
    import cv2

    # Frames are judged side by side, one a thread.
    cv2.setNumThreads(1)
    squares = np.kron(np.indices((20, 20)).sum(0) % 2, np.ones((6, 6))) * 255
    codes(squares.astype(np.uint8))


def _holds(code: Scanned, place: Place) -> bool:
    """Whether a place is one in a code that was read."""
    low, high = code.corners.min(0), code.corners.max(0)
    return bool((low <= place.peak).all() and (place.peak <= high).all())


def _patch(luma: Luma, place: Place) -> Small:
    """The midst of what may be a code there."""
    (x, y), half = place.peak, _ABOUT * place.px // 2
    step = max(2 * half // _PATCH, 1)
    rows = slice(max(y - half, 0), y + half, step)
    return eight_bits(luma[rows, max(x - half, 0) : x + half : step], "patch")


def _two_tones(patch: Small) -> bool:
    """Whether a picture is ink and paper, some of both, and little between them."""
    import cv2

    up_to = np.cumsum(cv2.calcHist([patch], [0], None, [256], [0, 256])) / patch.size
    low, high = np.searchsorted(up_to, (_TAIL, 1 - _TAIL)).tolist()
    third, half, other = (up_to[low + (high - low) * part // 6] for part in (2, 3, 4))
    return bool(_LEAST_INK < half < 1 - _LEAST_INK and other - third < _MOST_BETWEEN)


def _qr(luma: Luma, place: Place) -> list[Scanned]:
    """Read QR codes at a place, which is reduced to so many px if it has more."""
    import cv2

    at = place.rect
    times = max(math.sqrt(at.width * at.height / _QR_PX), 1.0)
    # Some rows and columns alone: four px are left for each that is read.
    step = max(int(times / 2), 1)
    part = eight_bits(luma[at.y : at.y + at.height : step, at.x : at.x + at.width : step], "part")
    if times > 1:
        wide, high = max(round(at.width / times), 1), max(round(at.height / times), 1)
        part = cv2.resize(part, (wide, high), room("small part", (high, wide)))
    # What fails of a code in even light with one level for each part is read with one for all.
    found = scan(part, QR) or scan(part, QR, one_level=True)
    return [replace(one, corners=one.corners * times + [at.x, at.y]) for one in found]


def _bars(luma: Luma, place: Place, angle: float) -> list[Scanned]:
    """Read bar codes along a band across a place's bars."""
    at = place.rect
    middle, size = (at.x + at.width / 2, at.y + at.height / 2), math.hypot(at.width, at.height)
    long = _LONG * size
    strip, back = band(luma, middle, angle, long, _TALL * size)
    cut = bars_of(strip, round(_GAP * CELL * place.px * strip.shape[1] / long))
    if cut is None:
        return []
    bars = np.ascontiguousarray(strip[cut.y : cut.y + cut.height, cut.x : cut.x + cut.width])
    finer = np.ones(2)
    found = _either_way(bars)
    if not found:
        bars, finer = evened(bars)
        found = _either_way(bars)
    in_band = (one.corners / finer + [cut.x, cut.y] for one in found)
    placed = (corners @ back[:, :2].T + back[:, 2] for corners in in_band)
    return [replace(one, corners=there) for one, there in zip(found, placed, strict=True)]


def _either_way(bars: Small) -> list[Scanned]:
    """Read bars dark on light or, which zxing-cpp does in QR codes alone, light on dark."""
    return scan(bars, BARS) or scan(~bars, BARS)
