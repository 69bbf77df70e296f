"""Whether a frame is a slate: shows a code that names the setup that follows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tether.frame import codes
from tether.frame.pixels import Luma
from tether.frame.scanned import Scanned
from tether.model import Rect
from tether.plain import plain

Codes = Literal["any", "listed", "none"]
Listed = Callable[[str], bool]

LONGEST = 100
"""Characters of a code: a name that long is already more than a screen shows."""

LARGE = 0.12
"""Of the frame's longer side: so large a bar code was held up to be read."""

_SMALLEST = 0.03  # of the frame's longer side: a smaller code is a thing's own, held up by nobody
_STRIPES = 3  # different digits
_SHOWN = 40  # characters of a text that is refused
_UNLISTED = "is not on the shot list"


@dataclass(frozen=True, slots=True)
class Slate:
    """The code that a frame shows, and where; `refused` says why it is not used, or is empty."""

    code: str
    rect: Rect
    refused: str = ""


def read(luma: Luma, which: Codes = "any", listed: Listed | None = None) -> Slate | None:
    """Look for a slate's code in a frame; never raises for what a picture may show.

    QR codes, Micro QR codes and bar codes (EAN-13, EAN-8, UPC-A, UPC-E, Code 128, Code 39, ITF)
    are read, from 4 % of the frame's longer side, light on dark as well, turned any way. Text
    comes without white space around it, a product's number with the digits that are printed below
    its bars.

    A QR code corrects its errors, and nothing else reads as one: it counts by itself. Bars are
    everywhere, and on what is photographed: a bar code counts where it is listed; or alone, at
    `LARGE` and more, with a check digit, which Code 39 and ITF may lack. What stripes read as is
    nothing.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), of any size.
    which
        Any code makes a slate, or listed ones alone, or none.
    listed
        Tells whether a code is on the shot list; without it there is no list. Where a frame shows
        several codes, the one that is listed counts.

    Returns
    -------
    Slate or None
        None where no code is found. One that does not count or cannot name a setup is refused, and
        so is every code where several say different things.
    """
    if which == "none":
        return None
    longer = max(luma.shape)
    found: dict[str, Scanned] = {}
    for one in codes.codes(luma):
        on_the_list = listed is not None and listed(one.text)
        if one.long_side >= _SMALLEST * longer and (on_the_list or not _stripes(one)):
            found.setdefault(one.text, one)
    if not found:
        return None
    known = [text for text in found if listed is not None and listed(text)]
    bars = sum(one.bars for one in found.values())
    why = {text: _not_alone(one, longer, bars) for text, one in found.items() if text not in known}
    counting = known if len(known) == 1 else [text for text in found if not why.get(text)]
    text = next(iter(counting or found))
    refused = (
        (f"{_short(text)} {why[text]}" if not counting else "")
        or (_several(counting) if len(counting) > 1 else "")
        or _unnamed(text, found[text])
        or (f"{_short(text)} {_UNLISTED}" if which == "listed" and text not in known else "")
    )
    return Slate(_short(text) if refused else text, _rect(found[text], luma), refused)


def warm() -> None:
    """Load once what the first look would load, so that the first frame does not wait for it."""
    codes.warm()


def _not_alone(code: Scanned, longer: int, bars: int) -> str:
    """Why a code, among so many of bars, does not count by itself; or nothing."""
    if not code.bars:
        return ""
    if bars > 1:
        return f"{_UNLISTED}, and a bar code beside another must be"
    if code.long_side < LARGE * longer:
        return f"{_UNLISTED}, and a bar code so small must be"
    return "" if code.checked else f"{_UNLISTED}, and a bar code without check digit must be"


def _stripes(code: Scanned) -> bool:
    """Whether a code may be stripes of two widths: they read as a row of ones and twos.

    Of a product's number no bars show the first digit.
    """
    return code.bars and code.text.isdigit() and len(set(code.text)) <= _STRIPES


def _several(texts: list[str]) -> str:
    named = " and ".join(_short(one) for one in texts[:2])
    more = f" and {len(texts) - 2} more" if len(texts) > 2 else ""
    return f"several codes in one frame: {named}{more}"


def _unnamed(text: str, code: Scanned) -> str:
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


def _rect(code: Scanned, luma: Luma) -> Rect:
    """Where a code lies in the frame, px, cut at its borders."""
    limit = np.array(luma.shape[::-1])
    left, top = np.clip(np.floor(code.corners.min(0)), 0, limit - 1).astype(int).tolist()
    right, bottom = np.clip(np.ceil(code.corners.max(0)), 1, limit).astype(int).tolist()
    return Rect(left, top, max(right - left, 1), max(bottom - top, 1))
