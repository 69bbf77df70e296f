"""Setups that were left without the sharp frames they need."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from rich.cells import cell_len
from textual.strip import Strip

from tether.dashboard.has_needs import numbers
from tether.dashboard.palette import SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.shots import Shots
from tether.dashboard.text import line, shortened
from tether.plain import plain
from tether.session.reshoots import Reshoot


class ReshootLine(Panel):
    """One line, there as long as one of them is open."""

    def __init__(self, palette: Palette, shots: Shots) -> None:
        super().__init__(palette)
        self.shots = shots

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        told = fitting(self.shots.progress.reshoots, width)
        return line([(told, self.palette.verdict("soft"))], width, self.palette.text())


def fitting(reshoots: Sequence[Reshoot], columns: int) -> str:
    """As many as fit, the oldest first and that one at least, and how many more there are."""
    if not reshoots:
        return ""
    begin = f" {SYMBOLS['soft']} reshoot: "
    told = [words(one) for one in reshoots[:20]]
    for shown in range(len(told), 0, -1):
        left = len(reshoots) - shown
        more = f" and {left:,} more" if left else ""
        whole = begin + " · ".join(told[:shown]) + more
        if cell_len(whole) <= columns:
            return whole
    return shortened(begin + told[0], max(1, columns - cell_len(more))) + more


def words(one: Reshoot) -> str:
    """A reshoot: its setup, what that has and needs, and since when somebody is on it."""
    told = f"{plain(one.coverage.setup.name)} {numbers(one.coverage)}"
    if one.on_it is None:
        return told
    return f"{told}, on it since {datetime.fromtimestamp(one.on_it).strftime('%H:%M')}"
