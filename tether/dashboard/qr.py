"""A QR code (ISO/IEC 18004) in half cells: a module is half a cell, so that it is square."""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style

# The quiet zone that the standard asks for, and what readers of a screen do with.
BORDERS = (4, 2)

_LIGHT, _DARK = "#ffffff", "#000000"


def modules(text: str, border: int) -> list[list[bool]]:
    """Rows of modules, True where dark, an even number of them, with `border` light ones around."""
    import segno

    made = segno.make_qr(text, error="l", boost_error=True)
    rows = [[bool(one) for one in row] for row in made.matrix_iter(border=border)]
    return rows + [[False] * len(rows[0])] * (len(rows) % 2)


def fitting(text: str, columns: int, lines: int) -> list[list[bool]] | None:
    """The modules in as wide a quiet zone as `columns` by `lines` cells allow; None: too large."""
    for border in BORDERS:
        rows = modules(text, border)
        if len(rows[0]) <= columns and len(rows) <= 2 * lines:
            return rows
    return None


def cells(upper: list[bool], lower: list[bool], *, colour: bool, inverted: bool) -> list[Segment]:
    """Two rows of modules as one line of cells.

    Without colour the terminal's own two are all there is: blocks stand for light modules, as is
    right on a dark ground; `inverted` is for a light one.
    """
    if not colour:
        signs = "█▄▀ " if inverted else " ▀▄█"
        # Of a pair the upper module counts one, the lower two, where light.
        pairs = zip(upper, lower, strict=True)
        return [Segment("".join(signs[(not up) + 2 * (not low)] for up, low in pairs), Style())]
    return [
        Segment("▀", Style(color=_shade(up), bgcolor=_shade(low)))
        for up, low in zip(upper, lower, strict=True)
    ]


def _shade(dark: bool) -> str:
    return _DARK if dark else _LIGHT
