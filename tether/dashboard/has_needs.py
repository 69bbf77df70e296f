"""What a setup has and needs, as shapes and in numbers."""

from __future__ import annotations

from rich.style import Style

from tether.dashboard.palette import SYMBOLS, Palette
from tether.session.coverage import Coverage

FULL, EMPTY = "■", "□"
MOST = 5
"""Squares that are drawn; of a setup that needs more the numbers tell."""


def squares(one: Coverage) -> tuple[str, str]:
    """Full squares for what it has and empty ones for what it lacks, at most `MOST` in all."""
    if one.setup.needed == 0:
        return FULL * min(one.has, MOST), ""
    if one.setup.needed > MOST:
        full = one.has * MOST // one.setup.needed
        full = MOST if one.covered else min(max(full, int(one.has > 0)), MOST - 1)
        return FULL * full, EMPTY * (MOST - full)
    full = min(one.has, one.setup.needed)
    return FULL * full, EMPTY * (one.setup.needed - full)


def numbers(one: Coverage) -> str:
    """The same in numbers."""
    return f"{one.has} of {one.setup.needed}" if one.setup.needed else f"{one.has} of any"


def drawn(one: Coverage, palette: Palette, *, lifted: bool = False) -> list[tuple[str, Style]]:
    """The squares, coloured: what it has as sharp, what it lacks as borderline."""
    full, empty = squares(one)
    return [
        (full, palette.verdict("sharp", lifted=lifted)),
        (empty, palette.verdict("borderline", lifted=lifted)),
    ]


def mark(one: Coverage, *, reshoot: bool) -> tuple[str, str]:
    """A setup's shape, and the verdict that lends its colour."""
    if one.covered:
        return SYMBOLS["sharp"], "sharp"
    if reshoot:
        return SYMBOLS["soft"], "soft"
    return (SYMBOLS["borderline"], "borderline") if one.has else (SYMBOLS["unjudged"], "unjudged")


def tries(one: Coverage) -> str:
    """How often it was tried."""
    return f"{one.tries} tr{'y' if one.tries == 1 else 'ies'}"
