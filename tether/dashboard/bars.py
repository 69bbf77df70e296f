"""The lines of the running chart: a bar with its interval and the limit, and the axis."""

from __future__ import annotations

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style

from tether.dashboard.palette import OVERRULED, Palette
from tether.dashboard.text import shortened
from tether.session.reader import Row

Cells = list[tuple[str, Style]]

LEAST_SETUP = 10  # columns
_EIGHTHS = " ▏▎▍▌▋▊▉"
_ROUND = (4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 40, 50, 60, 80, 100, 120, 160, 200)


def full_scale(widest_px: float, limit_px: float | None) -> float:
    """Return the edge width, in px, at the right end of the chart.

    The limit lies between a quarter and a half of the way: one frame that is far out may not
    squeeze the others flat, and a series of sharp ones not be blown up into mountains.
    """
    if limit_px:
        widest_px = max(2 * limit_px, min(widest_px * 1.05, 4 * limit_px))
    return float(next((step for step in _ROUND if step >= widest_px), _ROUND[-1]))


def bar(
    row: Row, columns: int, full_px: float, palette: Palette, *, lifted: bool, setup: str = ""
) -> list[Segment]:
    """Draw a frame's edge width.

    The bar is dark up to the lower end of the interval, bright from there to the edge width and
    half-bright on to the upper end. A borderline frame is one whose bright end lies across the
    limit.

    Parameters
    ----------
    columns
        Cells to fill.
    full_px
        Edge width at the right end.
    lifted
        Whether the ground is that of the selected line.
    setup
        Named at the right end, where that is free.
    """
    ground = palette.text(lifted=lifted)
    cells: Cells = [(" ", ground)] * columns
    end = 0.0
    if row.edge_width_px is not None:
        px = row.edge_width_px
        low, high = row.edge_width_lo, row.edge_width_hi
        ends = [min(low, px) if low is not None else px, px, max(high, px) if high else px]
        ends = [max(0.0, min(one * columns / full_px, columns)) for one in ends]
        end = ends[-1]
        for cell in range(min(columns, int(end) + 1)):
            cells[cell] = _cell(cell, ends, row.verdict, palette, lifted=lifted)
        if px > full_px:
            cells[-1] = ("▶", palette.verdict(row.verdict, lifted=lifted))
    mark = _limit_cell(row.limit_px, columns, full_px)
    if mark is not None:
        cells[mark] = ("│", palette.limit(over=cells[mark][1]))
    for note in _notes(row):
        start = int(end) + 2 if end else 0
        if mark is not None and start <= mark + 1 and start + len(note) > mark:
            start = mark + 2
        if start + len(note) <= columns:
            quiet = palette.quiet(lifted=lifted)
            cells[start : start + len(note)] = [(letter, quiet) for letter in note]
            end = start + len(note)
            break
    free = columns - max(end + 2, mark + 2 if mark is not None else 0)
    if setup and free >= LEAST_SETUP:
        told = [(glyph, palette.quiet(lifted=lifted)) for glyph in by_cell(setup, int(free))]
        cells[columns - len(told) :] = told
    return joined(cells)


def by_cell(text: str, columns: int) -> list[str]:
    """The glyph of each cell that `text` takes, at most so many; none behind a wide one's first."""
    glyphs: list[str] = []
    for letter in shortened(text, columns):
        wide = cell_len(letter)
        if wide == 0 and glyphs:
            glyphs[-1] += letter
        else:
            glyphs += [letter, *[""] * (wide - 1)]
    return glyphs


def axis(columns: int, full_px: float, limit_px: float | None, palette: Palette) -> list[Segment]:
    """Draw the numbers above the bars, in px, and where the limit runs."""
    cells: Cells = [(" ", palette.quiet())] * columns
    taken: set[int] = set()

    def put(cell: int, label: str, style: Style) -> None:
        cell = max(0, min(cell, columns - len(label)))
        places = set(range(cell, cell + len(label)))
        # A blank on either side, or two numbers would read as one.
        if len(label) <= columns and not taken & {place + by for place in places for by in (-1, 1)}:
            taken.update(places)
            cells[cell : cell + len(label)] = [(letter, style) for letter in label]

    mark = _limit_cell(limit_px, columns, full_px)
    if mark is not None:
        told = f"limit {limit_px:g}" if columns >= 30 else f"{limit_px:g}"
        put(mark, f"│{told}", palette.strong())
    put(columns, f"{full_px:g} px", palette.quiet())
    step = next((s for s in (1, 2, 5, 10, 20, 50) if columns * s / full_px >= 5), 100)
    for number in range(0, int(full_px), step):
        put(int(number * columns / full_px), str(number), palette.quiet())
    return joined(cells)


def joined(cells: Cells) -> list[Segment]:
    """Return the cells as few segments as their styles allow."""
    segments: list[Segment] = []
    run, style = "", cells[0][1] if cells else None
    for glyph, own in cells:
        if own is not style and own != style:
            segments.append(Segment(run, style))
            run, style = "", own
        run += glyph
    segments.append(Segment(run, style))
    return segments


def _notes(row: Row) -> tuple[str, ...]:
    """What stands beside the bar: the first of these that fits."""
    if row.overruled:
        return f"{OVERRULED} measured {row.verdict}", f"{OVERRULED} {row.verdict}"
    note = row.cause or ("" if row.edge_width_px is not None else "not measured")
    return (note,) if note else ()


def _cell(
    cell: int, ends: list[float], word: str, palette: Palette, *, lifted: bool
) -> tuple[str, Style]:
    # Two shades share a cell where one ends and the next begins, to an eighth of the cell.
    shade = next((place for place, end in enumerate(ends) if end >= cell + 1 / 16), len(ends))
    eighths = round((ends[shade] - cell) * 8) if shade < len(ends) else 8
    after = next((place for place, end in enumerate(ends) if end >= cell + 1), len(ends))
    if not palette.colour:
        return palette.plain_shade(shade)
    if eighths >= 8:
        return " ", palette.shade(word, shade, shade, lifted=lifted)
    return _EIGHTHS[max(1, eighths)], palette.shade(word, shade, after, lifted=lifted)


def _limit_cell(limit_px: float | None, columns: int, full_px: float) -> int | None:
    if limit_px is None:
        return None
    cell = int(limit_px * columns / full_px)
    return cell if 0 <= cell < columns else None
