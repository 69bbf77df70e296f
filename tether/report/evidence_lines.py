"""Edge width by direction as a chart of twelve lines, for a terminal of any kind."""

from __future__ import annotations

from tether.model import Judgement
from tether.report import words
from tether.report.width_by_direction import reach
from tether.sharpness.evidence import ByDirection, Evidence

CELLS = 38
"""Cells from no width to the rim of the chart."""

_ASCII = str.maketrans({"█": "#", "▓": "=", "░": "-", "│": "|", "–": "-", "°": " "})


def evidence_lines(judgement: Judgement, found: Evidence, encoding: str = "utf-8") -> list[str]:
    """Tell the width of both eyes, and in every direction with its interval, against the limit.

    A bar is solid up to the interval's lower end, dark up to the width and light up to the upper
    end, and the limit is a line down the chart; where the encoding has no such signs, plain ones.
    """
    measured, limit = judgement.measurement, judgement.limit_px
    assert measured is not None and limit is not None, "it was measured"
    lines = [f"judged from {judgement.judged_from}"] if judgement.judged_from else []
    lines += [words.eyes(judgement)] if judgement.eyes else []
    if measured.widest is None:
        lines.append(f"not judged, {measured.edges} edges: {measured.note or measured.reason}")
    if found.widths is not None:
        rim = reach(measured, found, limit)
        lines.append(f"edge width by direction, px (95 %); │ limit {limit:.1f} px")
        lines += [_bar(found.widths, n, limit, rim) for n in range(len(found.widths.px))]
        lines.append("0° is right, 90° up, as the picture is stored")
    text = "\n".join(lines)
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = text.translate(_ASCII)
    return text.splitlines()


def _bar(told: ByDirection, number: int, limit: float, rim: float) -> str:
    low, px, high = (float(a[number]) for a in (told.lo, told.px, told.hi))
    to = [min(round(CELLS * end / rim), CELLS) for end in (low, px, high)]
    cells = list("█" * to[0] + "▓" * (to[1] - to[0]) + "░" * (to[2] - to[1]))
    cells += " " * (CELLS - len(cells))
    cells[min(round(CELLS * limit / rim), CELLS - 1)] = "│"
    angle = f"{told.angle_deg[number]:.0f}°"
    return f"{angle:>5} {px:5.1f} ({low:.1f}–{high:.1f})".ljust(25) + "".join(cells).rstrip()
