"""What every part of the screen has in common: it draws its own lines."""

from __future__ import annotations

from textual.strip import Strip
from textual.widget import Widget

from tether.dashboard.palette import Palette
from tether.dashboard.text import line


class Panel(Widget):
    """A part of the screen that draws line by line; `drawn` is all a subclass needs."""

    ALLOW_SELECT = False
    can_focus = False

    def __init__(self, palette: Palette) -> None:
        super().__init__()
        self.palette = palette

    def drawn(self, y: int, width: int) -> Strip:
        """Line `y` of the part, `width` cells wide."""
        return self.blank(width)

    def blank(self, width: int) -> Strip:
        """An empty line."""
        return line([], width, self.palette.text())

    def render_line(self, y: int) -> Strip:
        """Draw line `y`; called by the toolkit."""
        return self.drawn(y, self.size.width)
