"""How many frames there are of each verdict, and how many are still waiting for one."""

from __future__ import annotations

from rich.cells import cell_len
from rich.style import Style
from textual.strip import Strip

from tether.dashboard.frames import Frames
from tether.dashboard.palette import COLOURS, OVERRULED, SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line


class Counts(Panel):
    """One line of counts."""

    def __init__(self, palette: Palette, frames: Frames) -> None:
        super().__init__(palette)
        self.frames = frames
        self.waiting = 0

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the counts as spaciously as the width allows."""
        text = self.palette.text()
        for between, words in (("   ", True), ("  ", True), (" ", True), (" ", False)):
            parts = self._parts(between, words=words)
            if sum(cell_len(told) for told, _ in parts) <= width:
                break
        return line(parts, width, text)

    def _parts(self, between: str, *, words: bool) -> list[tuple[str, Style]]:
        strong, quiet = self.palette.strong(), self.palette.quiet()
        total = self.frames.counts.total()
        parts = [
            (f" {total}" if words else str(total), strong),
            (" frame" if total == 1 else " frames", quiet),
        ]
        for verdict in COLOURS:
            count = self.frames.counts[verdict]
            style = self.palette.verdict(verdict) if count else quiet
            parts += [(f"{between}{SYMBOLS[verdict]}{' ' * words}", style)]
            parts += [(str(count), strong if count else quiet), (f" {verdict}" * words, quiet)]
        if self.frames.overruled:
            parts += [(f"{between}{OVERRULED}{' ' * words}", strong)]
            parts += [(str(self.frames.overruled), strong), (" overruled" * words, quiet)]
        if self.waiting:
            parts += [(f"{between}{self.waiting}", strong), (" waiting", quiet)]
        return parts
