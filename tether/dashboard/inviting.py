"""Shows how a phone or tablet becomes a second screen: address, code, and both as a QR code."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.strip import Strip

from tether.dashboard import qr
from tether.dashboard.invitation import Invitation
from tether.dashboard.keys import Keys
from tether.dashboard.palette import GROUND, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import wrapped

TICK_S = 0.2
WORDS = 36  # columns beside the code


class InvitationPanel(Panel):
    """The code on the left, what it says on the right; or above it on a narrow screen."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(palette)
        self.invitation: Invitation | None = None
        self.inverted = False
        self._lines: list[Strip] = []

    def renew(self) -> None:
        """Draw it anew."""
        self._lines = self._drawn(*self.size)
        self.refresh()

    def on_resize(self) -> None:
        """Share out the new size."""
        self.renew()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw a line."""
        return self._lines[y] if y < len(self._lines) else self.blank(width)

    def _drawn(self, width: int, height: int) -> list[Strip]:
        told = self.invitation
        if told is None or not told.address:
            return self._beside([], told, width)
        beside = qr.fitting(told.link, width - WORDS - 4, height)
        if beside is not None:
            return self._beside(beside, told, width)
        words = self._beside([], told, width)
        below = qr.fitting(told.link, width, height - len(words))
        return words + self._beside(below, None, width) if below is not None else words

    def _beside(self, rows: list[list[bool]], told: Invitation | None, width: int) -> list[Strip]:
        text = self.palette.text()
        columns = len(rows[0]) if rows else 0
        words = self._words(told, width - columns - (4 if columns else 2)) if told else []
        lines = []
        for y in range(max(len(rows) // 2, len(words))):
            segments = [Segment("  " if columns == 0 else " ", text)]
            if y < len(rows) // 2:
                segments += qr.cells(
                    rows[2 * y],
                    rows[2 * y + 1],
                    colour=self.palette.colour,
                    inverted=self.inverted,
                )
            else:
                segments.append(Segment(" " * columns, text))
            if y < len(words):
                gap = "   " if columns else ""
                segments += [Segment(gap, text), Segment(*words[y])]
            lines.append(Strip(segments).adjust_cell_length(width, text))
        return lines

    def _words(self, told: Invitation, columns: int) -> list[tuple[str, Style]]:
        strong, text, quiet = self.palette.strong(), self.palette.text(), self.palette.quiet()
        if told.trouble:
            said = f"no second screen: {told.trouble}"
            return [(one, self.palette.notice()) for one in wrapped(said, columns, 4)]
        if not told.address:
            return [("the second screen is starting", text)]
        open_now = "no screen is open" if not told.screens else f"screens open: {told.screens}"
        how = (
            "Point a phone's camera at the code, or open the address and type the code. "
            "It is good for one screen; then there is another."
            if told.code
            else "On this computer only. --host opens it to phones on your own network."
        )
        address = told.address
        parts = [("second screen", strong), ("", text)]
        parts += [(address[at : at + columns], strong) for at in range(0, len(address), columns)]
        parts += [("", text), (told.spoken, strong)] if told.code else []
        parts += [("", text), *((one, text) for one in wrapped(how, columns, 6))]
        return [*parts, ("", text), (open_now, quiet)]


class Inviting(Screen[None]):
    """The whole screen, until it is left; what it shows is asked for anew all the time."""

    CSS = f"""
    Inviting {{ background: {GROUND}; overflow: hidden hidden; layout: vertical; }}
    Inviting:ansi {{ background: ansi_default; }}
    InvitationPanel {{ height: 1fr; }}
    Keys {{ height: 1; }}
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back"),
        Binding("v,V", "back"),
        Binding("i,I", "invert"),
    ]

    def __init__(self, ask: Callable[[], Invitation], palette: Palette) -> None:
        super().__init__()
        self._ask = ask
        self.panel = InvitationPanel(palette)
        self.keys = Keys(palette)

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield self.panel
        yield self.keys

    def on_mount(self) -> None:
        """Begin to ask."""
        colourless = [] if self.panel.palette.colour else [("i", "swap light and dark")]
        self.keys.show([*colourless, ("v Esc", "back"), ("q", "leave")])
        self._tick()
        self.set_interval(TICK_S, self._tick)

    def action_back(self) -> None:
        """Back to the session."""
        self.dismiss()

    def action_invert(self) -> None:
        """For a terminal with dark letters on a light ground, and no colours."""
        if not self.panel.palette.colour:
            self.panel.inverted = not self.panel.inverted
            self.panel.renew()

    def _tick(self) -> None:
        asked = self._ask()
        if asked != self.panel.invitation:
            self.panel.invitation = asked
            self.panel.renew()
