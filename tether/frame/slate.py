"""Whether a frame is a slate: shows a code that names the setup that follows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from tether.frame.code_places import Place, eight_bits, places
from tether.frame.codes import codes, the_best
from tether.frame.pixels import Luma
from tether.frame.scanned import Scanned
from tether.model import Rect
from tether.plain import plain

if TYPE_CHECKING:
    from tether.frame.view import Small

Codes = Literal["any", "listed", "none"]
Listed = Callable[[str], bool]

LONGEST = 100
"""Characters of a code: a name that long is already more than a screen shows."""

_MOST_PX = 1_200_000  # that are read of a frame, about 6 ms of a core
_REDUCING = 16  # px that are reduced cost as much as one that is read
_LEAST = 0.5  # of the change at the likeliest place
_SMALLEST = 0.03  # of the frame's longer side: a smaller code is a thing's own, held up by nobody
_SHOWN = 40  # characters of a text that is refused


@dataclass(frozen=True, slots=True)
class Slate:
    """The code that a frame shows, and where; `refused` says why it is not used, or is empty."""

    code: str
    rect: Rect
    refused: str = ""


def read(luma: Luma, which: Codes = "any", listed: Listed | None = None) -> Slate | None:
    """Look for a slate's code in a frame; never raises for what a picture may show.

    QR codes and bar codes (EAN-13, EAN-8, UPC-A, UPC-E, Code 128, Code 39, ITF) are read, from 4 %
    of the frame's longer side, light on dark as well, turned any way. Text comes without
    white space around it, a product's number with the digits that are printed below its bars.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), of any size.
    which
        Any code makes a slate, or listed ones alone, or none.
    listed
        Tells whether a code is on the shot list; without it all are. Where a frame shows several
        codes, the one that is listed counts.

    Returns
    -------
    Slate or None
        None where no code is found. One that cannot name a setup is refused, and so is every
        code where several say different things.
    """
    if which == "none":
        return None
    found: list[Scanned] = []
    left, least = float(_MOST_PX), 0.0
    for place in places(luma):
        least = max(least, _LEAST * place.change)
        if place.change < least:
            break
        cost = _cost(place)
        if cost > left:
            continue
        left -= cost
        at = np.array([place.rect.x, place.rect.y])
        for code in codes(_part(luma, place)):
            found.append(replace(code, corners=code.corners * place.times + at))
    large = [one for one in the_best(found) if one.long_side >= _SMALLEST * max(luma.shape)]
    chosen = _chosen({one.text.strip(): one for one in reversed(large)}, listed, luma)
    if chosen is None or chosen.refused or which == "any" or listed is None or listed(chosen.code):
        return chosen
    return replace(chosen, refused=f"{_short(chosen.code)} is not on the shot list")


def warm() -> None:
    """Load once what the first look would load, so that the first frame does not wait for it."""
    empty = np.zeros((64, 64), np.uint8)
    places(empty)
    codes(empty)


def _cost(place: Place) -> float:
    """About how many px are read, with what reducing them costs."""
    area = place.rect.width * place.rect.height
    reducing = area / _step(place) ** 2 / _REDUCING if place.times > 1 else 0
    return area / place.times**2 + reducing


def _step(place: Place) -> int:
    """Every how many rows and columns will do: sixteen px are left for each that is read."""
    return max(place.times // 4, 1)


def _chosen(found: dict[str, Scanned], listed: Listed | None, luma: Luma) -> Slate | None:
    if not found:
        return None
    if len(found) > 1 and listed is not None:
        known = {text: code for text, code in found.items() if listed(text)}
        found = known if len(known) == 1 else found
    text, code = next(iter(found.items()))
    rect = _rect(code, luma)
    if len(found) > 1:
        named = " and ".join(_short(one) for one in list(found)[:2])
        more = f" and {len(found) - 2} more" if len(found) > 2 else ""
        return Slate(_short(text), rect, f"several codes in one frame: {named}{more}")
    why = _refusal(text, code)
    return Slate(_short(text) if why else text, rect, why)


def _refusal(text: str, code: Scanned) -> str:
    """Why a text names no setup, or nothing."""
    if len(text) > LONGEST:
        return f"its code holds {len(text):,} characters, more than {LONGEST}"
    if plain(text) != text:
        return f"its code holds characters that cannot be shown: {_short(text)}"
    if not code.is_text:
        return "its code holds no text"
    if not text:
        return "its code is empty"
    return ""


def _short(text: str) -> str:
    safe = plain(text)
    return safe if len(safe) <= _SHOWN else safe[: _SHOWN - 1] + "…"


def _part(luma: Luma, place: Place) -> Small:
    """The part of the frame at a place, 8 bit, reduced as far as it may be."""
    import cv2

    at, step = place.rect, _step(place)
    part = luma[at.y : at.y + at.height : step, at.x : at.x + at.width : step]
    times = place.times // step
    if times == 1:
        return eight_bits(part)
    wide, high = max(part.shape[1] // times, 1), max(part.shape[0] // times, 1)
    # Means over whole blocks are far quicker than those over parts of pixels.
    even = np.ascontiguousarray(part[: high * times, : wide * times])
    return eight_bits(cv2.resize(even, (wide, high), interpolation=cv2.INTER_AREA))


def _rect(code: Scanned, luma: Luma) -> Rect:
    """Where a code lies in the frame, px, cut at its borders."""
    limit = np.array(luma.shape[::-1])
    left, top = np.clip(np.floor(code.corners.min(0)), 0, limit - 1).astype(int).tolist()
    right, bottom = np.clip(np.ceil(code.corners.max(0)), 1, limit).astype(int).tolist()
    return Rect(left, top, max(right - left, 1), max(bottom - top, 1))
