"""The keys that do something just now, and what."""

from __future__ import annotations

from rich.cells import cell_len
from rich.style import Style
from textual.strip import Strip

from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line


class Keys(Panel):
    """Keys, on as many lines as the part has."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(palette)
        self._keys: list[tuple[str, str]] = []

    def show(self, keys: list[tuple[str, str]]) -> None:
        """Show these keys, each with its word; those that do not fit go from the end."""
        if keys != self._keys:
            self._keys = keys
            self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        parts: list[tuple[str, Style]] = []
        free, left = width, y
        for key, word in self._keys:
            needed = cell_len(f" {key} {word} ")
            if needed > free:
                if not left:
                    break
                free, left, parts = width, left - 1, []
            free -= needed
            parts += [(f" {key}", self.palette.strong()), (f" {word} ", self.palette.quiet())]
        return line([] if left else parts, width, self.palette.text())
