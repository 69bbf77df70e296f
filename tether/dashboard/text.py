"""Fitting text from outside into cells: measured as a terminal shows it, and never markup."""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

_WHOSE = 3  # characters


def fitted(text: str, columns: int) -> str:
    """Return `text` in exactly `columns` cells.

    Of a long name the end tells frames apart; where it begins with a folder's or a camera's, a
    little of that tells whose the frame is.
    """
    if columns <= 0:
        return ""
    whose = text[:_WHOSE]
    many = "/" in text[_WHOSE:] and not text.startswith("/") and columns >= 3 * _WHOSE
    if not many or cell_len(text) <= columns or cell_len(whose) != _WHOSE:
        return _end(text, columns)
    return whose + _end(text[_WHOSE:], columns - _WHOSE)


def _end(text: str, columns: int) -> str:
    """As much of the end as fits, with a sign where it was cut."""
    if cell_len(text) > columns:
        while text and cell_len(text) > columns - 1:
            text = text[max(1, (cell_len(text) - columns + 1) // 2) :]
        text = "…" + text
    return set_cell_size(text, columns)


def shortened(text: str, columns: int) -> str:
    """Return as much of the beginning of `text` as fits, with a sign where it was cut."""
    if cell_len(text) <= columns:
        return text
    return set_cell_size(text, columns - 1).rstrip() + "…" if columns > 0 else ""


def wrapped(text: str, columns: int, lines: int) -> list[str]:
    """Break `text` at spaces into at most `lines` lines; the last is cut if it must be."""
    out = [""]
    for word in text.split():
        longer = f"{out[-1]} {word}" if out[-1] else word
        if cell_len(longer) <= columns or not out[-1] or len(out) == lines:
            out[-1] = longer
        else:
            out.append(word)
    return [shortened(line, columns) for line in out]


def line(parts: list[tuple[str, Style]], columns: int, ground: Style) -> Strip:
    """Return the parts side by side as one line of exactly `columns` cells."""
    strip = Strip([Segment(text, style) for text, style in parts])
    return strip.adjust_cell_length(columns, ground)


def spread(
    left: list[tuple[str, Style]], right: list[tuple[str, Style]], columns: int, ground: Style
) -> Strip:
    """Return two groups of parts at either end of a line; the right one goes if both don't fit."""
    free = columns - sum(cell_len(text) for text, _ in left + right)
    if free < 1:
        return line(left, columns, ground)
    return line([*left, (" " * free, ground), *right], columns, ground)
