"""A question over the lower part of the screen; what it is about stays in view above."""

from __future__ import annotations

from rich.style import Style
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.strip import Strip
from textual.widget import Widget

from tether.dashboard.aside import Done
from tether.dashboard.entry import Entry
from tether.dashboard.keys import Keys
from tether.dashboard.palette import GROUND, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line, shortened, wrapped
from tether.plain import plain

Line = list[tuple[str, Style]]


class Rule(Panel):
    """A line between the question and the screen behind it, or what stands in the way."""

    def __init__(self, palette: Palette, title: str) -> None:
        super().__init__(palette)
        self.title, self.trouble = title, ""

    def warn(self, words: str) -> None:
        """Say what stands in the way; nothing, once that is past."""
        self.trouble = plain(words)
        self.styles.height = len(self._told()) or 1
        self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the rule."""
        if self.trouble:
            style, told = self.palette.notice(), self._told()
            return line([(f" {told[y]}" if y < len(told) else "", style)], width, style)
        title = shortened(f" {plain(self.title)} ", width - 2)
        parts = [("──", self.palette.faint()), (title, self.palette.strong())]
        return line([*parts, ("─" * width, self.palette.faint())], width, self.palette.text())

    def _told(self) -> list[str]:
        return wrapped(self.trouble, max(1, self.app.size.width - 2), 3) if self.trouble else []


class Lines(Panel):
    """Lines of text."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(palette)
        self.lines: list[Line] = []

    def tell(self, lines: list[Line]) -> None:
        """Show these."""
        self.lines = lines
        self.styles.height = len(lines)
        self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw a line."""
        told = self.lines[y] if y < len(self.lines) else []
        return line(told, width, self.palette.text())


class Dialog(ModalScreen[None]):
    """A title, what the subclass puts below it, and the keys."""

    DEFAULT_CSS = f"""
    Dialog {{ align: left bottom; overflow: hidden hidden; }}
    Dialog > Vertical {{ height: auto; max-height: 100%; background: {GROUND}; }}
    Dialog > Vertical:ansi {{ background: ansi_default; }}
    Dialog Rule, Dialog Keys {{ height: 1; }}
    """

    def __init__(self, palette: Palette, title: str) -> None:
        super().__init__()
        self.palette = palette
        self.rule = Rule(palette, title)
        self.keys = Keys(palette)
        self.busy = False

    def body(self) -> list[Widget]:
        """What stands between title and keys."""
        return []

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        with Vertical():
            yield self.rule
            yield from self.body()
            yield self.keys

    def on_done(self, message: Done) -> None:
        """Go back and say what came of it, or what stands in the way."""
        self.busy = False
        if message.refused:
            self.warn(message.said)
            return
        self.dismiss()
        self.app.post_message(message)

    def on_entry_refused(self, message: Entry.Refused) -> None:
        """Say what stands in the way."""
        self.warn(message.words)

    def warn(self, words: str) -> None:
        """Say what stands in the way; nothing, once that is past."""
        self.rule.warn(words)

    def action_back(self) -> None:
        """Leave everything as it was."""
        self.dismiss()
