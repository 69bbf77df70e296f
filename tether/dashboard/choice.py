"""One of a few words, turned through with the keys to either side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.strip import Strip

from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line


class Choice(Panel):
    """Words beside each other, one of them taken."""

    can_focus = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)"),
        Binding("right,space", "turn(1)"),
    ]

    def __init__(self, palette: Palette, words: Sequence[str], taken: str) -> None:
        super().__init__(palette)
        self.words = list(words) if taken in words else [*words, taken]
        self.taken = taken

    def action_turn(self, by: int) -> None:
        """Take the word beside."""
        self.taken = self.words[(self.words.index(self.taken) + by) % len(self.words)]
        self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the words."""
        lifted, ground = self.has_focus, self.palette.text(lifted=self.has_focus)
        parts = []
        for word in self.words:
            taken = word == self.taken
            style = (self.palette.strong if taken else self.palette.quiet)(lifted=lifted)
            if taken and lifted and not self.palette.colour:
                style = self.palette.notice()
            parts += [(f"● {word}" if taken else f"○ {word}", style), ("   ", ground)]
        return line(parts, width, ground)
