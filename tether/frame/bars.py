"""Whether bars are a code: slats, ribs and spines on a shelf read as one, too.

What is read in bars counts only if the picture looks like the bars of just that code, which what is
read off even slats never does, and if nothing but paper lies beside both ends, as the standards
ask: a part of a longer code, or of slats that go on, has bars there. How Code 128 is drawn its text
does not tell; of that, two of three lines across the bars must say the same, and more than say
anything else. A QR code needs none of this: it corrects its errors, and nothing else reads as one.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

import numpy as np

from tether.frame.aslant import ALIGNED, across, straightened
from tether.frame.bar_lines import read_line
from tether.frame.drawn_bars import alike
from tether.frame.scanned import Scanned

if TYPE_CHECKING:
    from tether.frame.bar_lines import Line
    from tether.frame.view import Small

_LINES = (-0.05, 0.0, 0.05)  # of the code's width, up and down from its middle
_LINE = 0.03  # of the code's width: how high a line is, and
_LINE_PX = 3  # at least
_AROUND = 0.35  # of the code's width, that a line goes on at either end
_LEANING = 0.8  # of the code's width, that tells how its bars lie
_AGREEING = 2  # lines
_FEWEST = 4  # characters: a shorter one is read off any fence
_FEWEST_ITF = 6  # digits: it has no check digit
# Correlation with the bars as they would be drawn. Of 60 codes that could hardly be read all had
# 0.7 and more, of 93 readings of even and uneven slats none more than 0.36.
_ALIKE = 0.55
# Modules of paper beside a code's ends: GS1 and ISO/IEC ask for 7 to 11, and the widest gap in one
# has 4.
_QUIET = 6
_HALF, _PAPER = 0.5, 0.75  # of the way from a code's ink to its paper
_BLURRED = 0.25  # of these, that a blurred bar may reach into


def borne_out(part: Small, code: Scanned) -> float:
    """How well the picture that a code of bars was read in bears it out.

    Parameters
    ----------
    part
        Shape (rows, columns).
    code
        What was read in it.

    Returns
    -------
    float
        From 0, where it does not, to 1.
    """
    fewest = _FEWEST_ITF if code.family == "ITF" else _FEWEST
    if len(code.text) < fewest or code.width < 1:
        return 0.0
    lines, width = _lines(part, code)
    if code.family == "Code128":
        return _agreed(lines, code)
    shares = sorted(_looks_like(line, code, width) for line in lines)
    # ITF has no check digit: one line more must show it.
    return shares[-2 if code.family == "ITF" else -1]


def _looks_like(line: Line, code: Scanned, width: float) -> float:
    ends = (line.size - width) / 2, (line.size + width) / 2
    found = alike(line, code, *ends)
    if found is None or found.share < _ALIKE:
        return 0.0
    return found.share if _is_quiet(line, found.left, found.right, found.modules) else 0.0


def _agreed(lines: list[Line], code: Scanned) -> float:
    told = [(line, read_line(line, code.text)) for line in lines]
    votes = Counter(one.text for _, one in told if one is not None)
    if votes[code.text] < _AGREEING or votes.most_common(1)[0][0] != code.text:
        return 0.0
    # Digits may go in pairs: fewer modules, each of them wider (ISO/IEC 15417).
    characters = math.ceil(len(code.text) / 2) if code.text.isdigit() else len(code.text)
    modules = 11 * characters + 35
    quiet = 0
    for line, one in told:
        if one is not None and one.text == code.text:
            ends = one.corners[:, 0]
            quiet += _is_quiet(line, ends.min(), ends.max(), modules)
    return votes[code.text] / len(lines) if quiet >= _AGREEING else 0.0


def _lines(part: Small, code: Scanned) -> tuple[list[Line], float]:
    """Lines across the bars of a code and beyond its ends, each the mean of a few rows.

    With them comes how wide the code is along them; its middle is theirs.
    """
    width, middle = code.width, code.corners.mean(0)
    along = code.corners[1] - code.corners[0]
    angle = math.degrees(math.atan2(-along[1], along[0]))
    tall = math.ceil((_LINES[-1] - _LINES[0] + _LINE) * width) + 2 * _LINE_PX
    # Where the code lies is known; how its bars lie, the picture around it tells better.
    rough, _ = straightened(part, middle, angle, math.ceil(_LEANING * width), tall)
    lean, share = across(rough)
    lean = lean if share >= ALIGNED else 0.0
    reach = math.ceil((1 + 2 * _AROUND) * width)
    upright, _ = straightened(part, middle, angle + lean, reach, tall)
    high = max(math.ceil(_LINE * width), _LINE_PX)
    tops = (max(round(tall / 2 + at * width - high / 2), 0) for at in _LINES)
    lines = [np.asarray(upright[y : y + high].mean(0), np.float32) for y in tops]
    return lines, width * math.cos(math.radians(lean))


def _is_quiet(line: Line, left: float, right: float, modules: float) -> bool:
    """Whether a line is paper alone beside both ends of a code so many modules wide."""
    inside = line[max(round(left), 0) : round(right) + 1]
    if inside.size < 2:
        return False
    low, high = np.percentile(inside, (5, 95))
    room = _QUIET * (right - left) / modules
    # A blurred end reaches out a little.
    edge = _BLURRED * room
    ends = (
        line[max(round(left - room), 0) : max(round(left - edge), 0)],
        line[round(right + edge) : round(right + room)],
    )
    if any(end.size == 0 for end in ends):
        return False
    told = [(end - low) / max(high - low, 1.0) for end in ends]
    # Fine bars that are out of focus are grey: neither all light nor all dark.
    light = all(end.min() > _HALF and end.mean() > _PAPER for end in told)
    return light or all(end.max() < _HALF and end.mean() < 1 - _PAPER for end in told)
