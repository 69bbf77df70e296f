"""Whether bars are a code: slats, ribs and spines on a shelf read as one, too.

What is read in bars counts only if two of three lines across them say it, and more than say
anything else, and if nothing but paper lies beside both ends there, as the standards ask: a part
of a longer code, or of slats that go on, has bars there. A QR code needs none of this: it corrects
its errors, and nothing else reads as one.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.frame.scanned import BARS, Scanned, scan

if TYPE_CHECKING:
    from tether.frame.view import Small

_LINES = (-0.05, 0.0, 0.05)  # of the code's width, up and down from its middle
_LINE = 0.03  # of the code's width: how high a line is, and
_LINE_PX = 3  # at least
_AROUND = 0.35  # of the code's width, that a line goes on at either end
_LEANING = 0.8  # of the code's width, that tells how its bars lie
_ALIGNED = 0.5
_FINER = 3  # times
_SOFT_PX = 1.5
_SHARPENED = (0.0, 2.0, 4.0)
_ROWS = 16  # of a picture that is made of one line
_AGREEING = 2  # lines
_FEWEST = 4  # characters: a shorter one is read off any fence
_FEWEST_ITF = 6  # digits: it has no check digit
_QUIET = 4  # modules of paper beside a code's ends: GS1 and ISO/IEC ask for 7 to 11
_BLURRED = 0.25  # of these, that a blurred bar may reach into
_MODULES = {"EAN13": 95, "UPCA": 95, "EAN8": 67, "UPCE": 51}


def borne_out(part: Small, code: Scanned) -> bool:
    """Whether the picture that a code of bars was read in, shape (rows, columns), bears it out."""
    fewest = _FEWEST_ITF if code.family == "ITF" else _FEWEST
    if len(code.text) < fewest or code.width < 1:
        return False
    told = [_told(line, code) for line in _lines(part, code)]
    votes = Counter(one.text for one in told if one.text)
    if votes[code.text] < _AGREEING or votes.most_common(1)[0][0] != code.text:
        return False
    return sum(one.quiet for one in told if one.text == code.text) >= _AGREEING


def across(part: Small) -> tuple[float, float]:
    """The angle, degrees counter-clockwise in (-90, 90], that most change goes along, and how much.

    The share is the coherence of the structure tensor: 1 for bars, 0 where all directions are
    alike (Bigün and Granlund, 1987).
    """
    import cv2

    soft = cv2.GaussianBlur(part, (0, 0), 1.0)
    x, y = (cv2.Sobel(soft, cv2.CV_32F, *order, ksize=3) for order in ((1, 0), (0, 1)))
    xx, yy, xy = float((x * x).sum()), float((y * y).sum()), float((x * y).sum())
    if xx + yy <= 0:
        return 0.0, 0.0
    share = math.hypot(xx - yy, 2 * xy) / (xx + yy)
    # Rows count downwards.
    return -math.degrees(math.atan2(2 * xy, xx - yy)) / 2, share


def straightened(
    part: Small, middle: NDArray[np.float64], angle: float, wide: int, high: int
) -> tuple[Small, NDArray[np.float64]]:
    """The part turned so that `angle` lies along its rows, about `middle`, and the way back.

    What lies outside the part repeats its edge.
    """
    import cv2

    turn = math.radians(angle)
    back = np.array([[math.cos(turn), math.sin(turn), 0.0], [-math.sin(turn), math.cos(turn), 0.0]])
    back[:, 2] = middle - back[:, :2] @ np.array([wide / 2, high / 2])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    turned = cv2.warpAffine(part, back, (wide, high), flags=flags, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(turned, np.uint8), back


@dataclass(frozen=True, slots=True)
class _Told:
    """What a line says, and whether there is paper beside both ends of that."""

    text: str
    quiet: bool = False


def _lines(part: Small, code: Scanned) -> list[Small]:
    """Lines across the bars of a code and beyond its ends, each the mean of a few rows."""
    width, middle = code.width, code.corners.mean(0)
    along = code.corners[1] - code.corners[0]
    angle = math.degrees(math.atan2(-along[1], along[0]))
    tall = math.ceil((_LINES[-1] - _LINES[0] + _LINE) * width) + 2 * _LINE_PX
    # Where the code lies is known; how its bars lie, the picture around it tells better.
    rough, _ = straightened(part, middle, angle, math.ceil(_LEANING * width), tall)
    lean, share = across(rough)
    if share >= _ALIGNED:
        angle += lean
    reach = math.ceil((1 + 2 * _AROUND) * width)
    upright, _ = straightened(part, middle, angle, reach, tall)
    high = max(math.ceil(_LINE * width), _LINE_PX)
    tops = (max(round(tall / 2 + at * width - high / 2), 0) for at in _LINES)
    return [np.asarray(np.rint(upright[y : y + high].mean(0)), np.uint8) for y in tops]


def _told(line: Small, code: Scanned) -> _Told:
    import cv2

    # Finer and sharper than it came: bars of a pixel or two, out of focus, are read from there.
    fine = cv2.resize(
        line[np.newaxis].astype(np.float32), None, fx=_FINER, fy=1, interpolation=cv2.INTER_CUBIC
    )
    detail = fine - cv2.GaussianBlur(fine, (0, 0), _SOFT_PX * _FINER)
    said = ""
    for sharper in _SHARPENED:
        coded = np.asarray(np.clip(np.rint(fine + sharper * detail), 0, 255), np.uint8)
        rows = np.ascontiguousarray(np.broadcast_to(coded, (_ROWS, coded.size)))
        for again in scan(rows, BARS, rotate=False):
            if again.text == code.text:
                ends = sorted(again.corners[:, 0].tolist())
                room = _QUIET / _modules(again)
                return _Told(again.text, _is_quiet(fine[0], ends[0], ends[-1], room))
            said = again.text
    return _Told(said)


def _is_quiet(line: NDArray[np.float32], left: float, right: float, share: float) -> bool:
    """Whether a line is paper alone beside both ends, `share` of the code's width from it."""
    inside = line[max(round(left), 0) : round(right) + 1]
    if inside.size < 2:
        return False
    low, high = np.percentile(inside, (5, 95))
    room = share * (right - left)
    # A blurred end reaches out a little.
    edge = _BLURRED * room
    ends = (
        line[max(round(left - room), 0) : max(round(left - edge), 0)],
        line[round(right + edge) : round(right + room)],
    )
    if any(end.size == 0 for end in ends):
        return False
    half = (low + high) / 2
    return all((end > half).all() for end in ends) or all((end < half).all() for end in ends)


def _modules(code: Scanned) -> int:
    """About how many modules a code is wide (GS1 and ISO/IEC 15417, 16388, 16390)."""
    characters = len(code.text)
    if code.kind in _MODULES:
        return _MODULES[code.kind]
    if code.family == "ITF":
        return 8 * characters + 8
    if code.family == "Code39":
        return 14 * (characters + 2)
    # Digits may go in pairs: fewer modules, of which four are then more.
    return 11 * (math.ceil(characters / 2) if code.text.isdigit() else characters) + 35
