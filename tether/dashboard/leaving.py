"""Asked before a session is left while something is still to be shot."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tether.dashboard.dialog import Dialog, Line, Lines
from tether.dashboard.has_needs import drawn, mark, numbers
from tether.dashboard.palette import Palette
from tether.dashboard.text import shortened
from tether.plain import plain
from tether.session.coverage import Coverage

_MOST = 8  # lines


class Leaving(Dialog):
    """Lists what is uncovered; the key that leaves, pressed again, does."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back")]

    def __init__(
        self, palette: Palette, uncovered: Sequence[Coverage], reshoots: Collection[int] = ()
    ) -> None:
        count = len(uncovered)
        setups = "1 setup lacks" if count == 1 else f"{count:,} setups lack"
        super().__init__(palette, f"{setups} sharp frames")
        self._uncovered, self._reshoots = uncovered, reshoots
        self.listed = Lines(palette)

    def body(self) -> list[Widget]:
        """The list."""
        return [self.listed]

    def on_mount(self) -> None:
        """Show it."""
        self.keys.show([("q", "again leaves"), ("Esc", "goes on")])
        self._tell()

    def on_resize(self) -> None:
        """As many as there is room for."""
        self._tell()

    def _tell(self) -> None:
        most = max(1, min(_MOST, self.app.size.height - 4))
        shown = self._uncovered if len(self._uncovered) <= most else self._uncovered[: most - 1]
        lines = [self._line(one) for one in shown]
        more = len(self._uncovered) - len(shown)
        lines += [[(f"   and {more:,} more", self.palette.quiet())]] if more else []
        self.listed.tell(lines)

    def _line(self, one: Coverage) -> Line:
        text = self.palette.text()
        shape, verdict = mark(one, reshoot=one.id in self._reshoots)
        name = shortened(plain(one.setup.name), max(4, self.app.size.width - 24))
        return [
            (f" {shape} ", self.palette.verdict(verdict)),
            (f"{name}  ", text),
            *drawn(one, self.palette),
            (f" {numbers(one)} sharp", text),
        ]
