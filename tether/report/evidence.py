"""One picture of what a verdict rests on: the area, its edges, their width by direction, why."""

from __future__ import annotations

import io
import logging
import textwrap
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tether.model import Judgement, Rect
from tether.report import marked_area, width_by_direction, words
from tether.report.ink import BLACK, QUIET

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tether.sharpness.evidence import Evidence
    from tether.sharpness.widths import Widths

_DPI = 100
_MARGIN = 28
_HEAD = 62  # dots above the area and the half circle, for verdict and captions
_FOOT = 44  # below the area
_COLUMN = 700  # width of the half circle and of the text
_RADIUS = 285  # of the half circle
_HALF_CIRCLE = 455  # height that it takes with its scale and its legend
_LINE = 19
_NAME = 92  # dots that the names of the facts take
_CHARACTERS = 82  # that fit beside them


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture as PNG, how many of its dots a pixel spans, and where the area lies, dots."""

    png: bytes
    magnification: int
    place: Rect


def draw(
    judgement: Judgement, area: NDArray[np.uint8] | NDArray[np.uint16], found: Evidence
) -> Drawn:
    """Draw what a verdict rests on.

    Parameters
    ----------
    judgement
        Of a frame whose area was looked at.
    area
        Luma of the focus area, coded values, shape (rows, columns).
    found
        What was found in it.
    """
    import matplotlib
    from matplotlib.figure import Figure

    # It tells of fonts it lacks and folders it cannot cache in: nobody here can act on that.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    left, top, wide, high = marked_area.shown_part(area.shape[1], area.shape[0])
    times = marked_area.magnification(wide, high)
    part = area[top : top + high, left : left + wide]
    place = Rect(_MARGIN, _HEAD, times * wide, times * high)
    lines = _wrapped(words.facts(judgement, found))
    beside = max(place.width, 400) + 2 * _MARGIN
    across = beside + _COLUMN + _MARGIN
    down = max(_HEAD + place.height + _FOOT, _HEAD + _HALF_CIRCLE + _LINE * len(lines) + _MARGIN)
    with matplotlib.rc_context():
        matplotlib.rcdefaults()  # whatever the user has set for their own figures
        figure = Figure(figsize=(across / _DPI, down / _DPI), dpi=_DPI, facecolor="white")
        _text(figure, _MARGIN, 30, words.verdict(judgement), size=17, weight="bold")
        marked_area.draw(figure, part, _moved(found.edges, left, top), place)
        _captions(figure, place, part.shape != area.shape, times, len(found.edges.px))
        _half_circle(figure, judgement, found, beside)
        for number, (name, text) in enumerate(lines):
            y = _HEAD + _HALF_CIRCLE + _LINE * number
            _text(figure, beside, y, name, colour=QUIET)
            _text(figure, beside + _NAME, y, text)
        out = io.BytesIO()
        figure.savefig(out, format="png", metadata={"Software": "tether"})
    return Drawn(out.getvalue(), times, place)


def _half_circle(figure: Figure, judgement: Judgement, found: Evidence, left: int) -> None:
    measured, limit = judgement.measurement, judgement.limit_px
    assert measured is not None and limit is not None, "it was measured"
    across, down = figure.get_size_inches() * _DPI
    title = "Edge width (10–90 % rise) by direction, px; 0° right, 90° up, as the picture is stored"
    _text(figure, left, 30, title, weight="bold", size=10)
    if measured.widest is None:
        _text(figure, left, 50, f"Not judged: {measured.note or measured.reason}")
    # Half a circle fills the middle half of its axes, from top to bottom.
    side = 2 * _RADIUS
    top = _HEAD + 34 - _RADIUS // 2
    place = (left / across, 1 - (top + side) / down, _COLUMN / across, side / down)
    width_by_direction.draw(figure, measured, found, limit, place)


def _captions(figure: Figure, place: Rect, cut: bool, times: int, edges: int) -> None:
    middle = ", its middle" if cut else ""
    _text(figure, place.x, 52, f"Focus area{middle}: {times} dots a pixel", colour=QUIET)
    caption = "no edges used"
    if edges:
        caption = f"edges used: {edges}; a mark lies across each, as long as the edge is wide"
    _text(figure, place.x, place.y + place.height + 22, caption, colour=QUIET)


def _moved(edges: Widths, left: int, top: int) -> Widths:
    return replace(edges, x=edges.x - np.float32(left), y=edges.y - np.float32(top))


def _wrapped(facts: list[tuple[str, str]]) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    previous = ""
    for name, text in facts:
        for part in textwrap.wrap(text, _CHARACTERS):
            lines.append(("" if name == previous else name, part))
            previous = name
    return lines


def _text(
    figure: Figure,
    x: float,
    y: float,
    text: str,
    *,
    size: float = 9.5,
    colour: str = BLACK,
    weight: str = "normal",
) -> None:
    """Write a line, its foot so many dots below the figure's top; a dollar is a dollar."""
    across, down = figure.get_size_inches() * _DPI
    figure.text(
        x / across, 1 - y / down, text,
        fontsize=size, color=colour, fontweight=weight, parse_math=False,
    )  # fmt: skip
