"""The last verdict, readable from across a room."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from textual.strip import Strip

from tether.dashboard.has_needs import numbers
from tether.dashboard.lettering import HEIGHT, drawn
from tether.dashboard.palette import OVERRULED, SLATE, SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.shots import Shots
from tether.dashboard.text import line, shortened, spread
from tether.plain import plain
from tether.session.frame_evidence import FrameEvidence
from tether.session.reader import Row

# A burst must not make the letters flicker: a verdict stays this long, then the latest follows.
# That is two changes a second, below the three that WCAG 2.3.1 allows.
HOLD_S = 0.5


class Band(Panel):
    """Verdict, frame, cause and one line of advice for the frame that arrived last."""

    def __init__(self, palette: Palette, shots: Shots) -> None:
        super().__init__(palette)
        self.shots = shots
        self.scale = 0
        self.air = 0
        self.empty = ""
        self.shown: Row | None = None
        self._told: tuple[int, str] = (0, "")
        self._next: Row | None = None
        self._since = float("-inf")

    def tell(self, row: Row | None, now: float) -> None:
        """Show the frame as soon as the one before has stood for long enough."""
        self._next = row
        self.tick(now)

    def tick(self, now: float) -> None:
        """Show what is due at `now` (monotonic, s)."""
        if self._next == self.shown or now - self._since < HOLD_S:
            return
        self.shown, self._since = self._next, now
        self.refresh()

    def explain(self, number: int, facts: dict[str, Any] | None, evidence: FrameEvidence) -> None:
        """Add what the record says of the frame, should it be the one shown or next."""
        if self._next is not None and number == self._next.id:
            # What was left aside of a frame is told where nothing needs to be changed.
            advice = (facts or {}).get("advice") or evidence.notes or [""]
            # Where the area is lost the verdict may be of another place: that comes before advice,
            # and so does why a slate that somebody held up was not taken for one.
            left = evidence.lost or evidence.slate_refused
            first = (facts or {}).get("error") or left or advice[0]
            self._told = number, plain(str(first))
            self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw a line of letters or of text."""
        text = self.palette.text()
        row = self.shown
        y -= self.air if self.scale else 0
        if y < 0:
            return self.blank(width)
        if row is None:
            return line([(f" {self.empty}", self.palette.strong())] if y == 0 else [], width, text)
        if row.slate is not None:
            return self._slate(row, y, width)
        if self.scale:
            letters = drawn(row.stands, self.scale)
            if y < len(letters):
                return line([(f" {letters[y]}", self.palette.verdict(row.stands))], width, text)
            y -= HEIGHT * self.scale + self.air
            if y not in {0, 1}:
                return self.blank(width)
        elif y == 0:
            word = f" {SYMBOLS.get(row.stands, '?')} {row.stands.upper()} "
            return line(
                [(word, self.palette.verdict(row.stands)), (row.name, self.palette.strong())],
                width,
                text,
            )
        else:
            y = 2 - y if self.size.height == 2 else y - 1
        return self._frame(row, width) if y == 0 else self._advice(row, width)

    def _frame(self, row: Row, width: int) -> Strip:
        text, quiet = self.palette.text(), self.palette.quiet()
        parts = [(f" {row.name}", self.palette.strong())] if self.scale else []
        if row.overruled:
            measured = f"  {OVERRULED} overruled, measured {row.verdict}"
            parts.append((measured, self.palette.verdict(row.verdict)))
        elif row.cause:
            parts.append((f"  {row.cause}", self.palette.verdict(row.verdict)))
        if row.edge_width_px is not None:
            parts.append((f"  {row.edge_width_px:.1f} px", text))
            if row.limit_px is not None:
                parts.append((f", limit {row.limit_px:g}", quiet))
        when = datetime.fromtimestamp(row.arrived).strftime("%H:%M:%S ")
        return spread(parts, [(when, quiet)], width, text)

    def _slate(self, row: Row, y: int, width: int) -> Strip:
        # No letters for it: they are read across the room as a verdict, which it has none of.
        text, name = self.palette.text(), self.shots.opened_by(row)
        middle = (HEIGHT * self.scale - 1) // 2 if self.scale else 0
        one = self.shots.of(row.setup)
        if y == middle:
            told = f" {SLATE} {name}" if name else f" {SLATE} slate"
            return line([(shortened(told, width), self.palette.strong())], width, text)
        if y == middle + 1 and name and one is not None and self.scale:
            has = f"   {numbers(one)} sharp"
            return line([(has, self.palette.quiet())], width, text)
        last = HEIGHT * self.scale + self.air if self.scale else 1
        if y == last:
            when = datetime.fromtimestamp(row.arrived).strftime("%H:%M:%S ")
            return spread([(f" {row.name}", text)], [(when, self.palette.quiet())], width, text)
        return self._advice(row, width) if y == last + 1 else self.blank(width)

    def _advice(self, row: Row, width: int) -> Strip:
        number, told = self._told
        if number != row.id:
            return self.blank(width)
        text = self.palette.text()
        return line([(shortened(f" {told}", width), text)], width, text)
