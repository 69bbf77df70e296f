"""Soft frames that nobody has looked at yet; the line stays until somebody says so."""

from __future__ import annotations

from rich.cells import cell_len
from textual.strip import Strip

from tether.dashboard.frames import Frames
from tether.dashboard.palette import SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line, shortened, spread
from tether.session.reader import Row


class SoftLine(Panel):
    """One line, quiet while there is nothing to look at."""

    def __init__(self, palette: Palette, frames: Frames) -> None:
        super().__init__(palette)
        self.frames = frames
        self.warning = ""  # comes first, while there is one
        self.said = ""  # what came of a key, where the state has no line of its own

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        text = self.palette.text()
        if self.warning:
            style = self.palette.notice()
            return line([(shortened(f" {self.warning}", width), style)], width, style)
        if self.said:
            return line([(shortened(f" {self.said}", width), self.palette.strong())], width, text)
        unseen = self.frames.unseen
        if not unseen:
            quiet = " no soft frame unseen since this screen opened"
            return line([(shortened(quiet, width), self.palette.quiet())], width, text)
        style = self.palette.verdict("soft") if self.palette.colour else self.palette.notice()
        key = [("s", self.palette.strong()), (" seen ", self.palette.quiet())]
        room = width - 7 if width >= 30 else width
        return spread([(told(unseen, room), style)], key, width, text)


def told(unseen: list[Row], columns: int) -> str:
    """Put the unseen frames into at most `columns` cells, the newest named first."""
    count = len(unseen)
    begin = f" {SYMBOLS['soft']} {count} soft frame{'s' * (count > 1)} not seen yet"
    names = [row.name for row in reversed(unseen)]
    for shown in range(count, 0, -1):
        more = f" and {count - shown} more" if shown < count else ""
        whole = f"{begin}: {', '.join(names[:shown])}{more}"
        if cell_len(whole) <= columns or shown == 1:
            break
    return shortened(whole, columns)
