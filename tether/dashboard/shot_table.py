"""The shot list as a table: what each setup has and needs. Only lines in view are drawn."""

from __future__ import annotations

from rich.cells import cell_len
from rich.style import Style
from textual import events
from textual.strip import Strip

from tether.dashboard.has_needs import MOST, drawn, mark, numbers, tries
from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.shots import Shots
from tether.dashboard.text import line, shortened
from tether.plain import plain
from tether.session.coverage import Coverage

HEADING = 1
_NUMBERS = 11  # columns


class ShotTable(Panel):
    """Setups in the list's order; one of them chosen, or none and the one of now in view."""

    def __init__(self, palette: Palette, shots: Shots, *, choosing: bool = False) -> None:
        super().__init__(palette)
        self.shots = shots
        self.choosing = choosing
        self.cursor = 0
        self._chosen: int | None = None
        self._top = 0

    @property
    def lines(self) -> int:
        """How many setups are in view."""
        return max(1, self.size.height - HEADING)

    @property
    def chosen(self) -> Coverage | None:
        """The setup under the cursor."""
        setups = self.shots.progress.setups
        return setups[self.cursor] if 0 <= self.cursor < len(setups) else None

    def move(self, to: int) -> None:
        """Put the cursor on the setup at place `to`, or the nearest there is."""
        self.cursor = max(0, min(to, len(self.shots.progress.setups) - 1))
        self._chosen = self.chosen.id if self.chosen else None
        self.renew()

    def renew(self) -> None:
        """Draw anew after the list, the size or the cursor has changed."""
        count = len(self.shots.progress.setups)
        # A setup that was moved, by whomever, takes the cursor along.
        place = self.shots.place(self._chosen)
        self.cursor = max(0, min(self.cursor if place is None else place, count - 1))
        held = self.cursor if self.choosing else self.shots.place(self.shots.progress.current)
        if held is not None:
            # A line of what comes next stays in view below the one of now.
            below = 0 if self.choosing or self.lines < 3 else 1
            self._top = max(held + below - self.lines + 1, min(self._top, held))
        self._top = max(0, min(self._top, count - self.lines))
        self.refresh()

    def on_resize(self) -> None:
        """Keep the cursor in view."""
        self.renew()

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Up the list."""
        if self.choosing:
            self.move(self.cursor - 3)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Down the list."""
        if self.choosing:
            self.move(self.cursor + 3)

    def on_click(self, event: events.Click) -> None:
        """Choose the setup under the pointer."""
        place = self._top + event.y - HEADING
        if self.choosing and event.y >= HEADING and place < len(self.shots.progress.setups):
            self.move(place)

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the heading or a setup."""
        setups = self.shots.progress.setups
        if y < HEADING:
            return self._heading(width)
        place = self._top + y - HEADING
        if place >= len(setups):
            return self.blank(width)
        return self._setup(setups[place], width, lifted=self.choosing and place == self.cursor)

    def _heading(self, width: int) -> Strip:
        quiet, setups = self.palette.quiet(), self.shots.progress.setups
        told = f"  shot list: {self.shots.covered:,} of {len(setups):,} covered"
        if len(setups) > self.lines:
            last = min(self._top + self.lines, len(setups))
            told += f"   {self._top + 1:,}–{last:,} of {len(setups):,}"
        return line([(shortened(told, width), quiet)], width, self.palette.text())

    def _setup(self, one: Coverage, width: int, *, lifted: bool) -> Strip:
        text, quiet = self.palette.text(lifted=lifted), self.palette.quiet(lifted=lifted)
        strong = self.palette.strong(lifted=lifted)
        if lifted and not self.palette.colour:
            text = quiet = strong = self.palette.notice()
        current = one.id == self.shots.progress.current
        reshoot = self.shots.reshoot(one.id)
        shape, verdict = mark(one, reshoot=reshoot is not None)
        squares = drawn(one, self.palette, lifted=lifted) if width >= 40 else []
        state = "now" if current else "reshoot" if reshoot is not None else ""
        behind = [(state, 9)] if width >= 50 else []
        behind += [(tries(one), 10)] if width >= 62 else []
        behind += [(plain(one.setup.preset or ""), 10)] if width >= 76 else []
        free = width - 4 - (MOST + 1 if squares else 0) - _NUMBERS - sum(wide for _, wide in behind)
        name = max(4, min(free, 40))
        told: list[tuple[str, Style]] = [
            ("▸" if current else "▌" if lifted else " ", strong),
            (shape, self.palette.verdict(verdict, lifted=lifted)),
            (" ", text),
            (_filled(plain(one.setup.name), name), strong if current else text),
            (" ", text),
        ]
        if squares:
            gap = MOST - sum(cell_len(part) for part, _ in squares)
            told += [*squares, (" " * (gap + 1), quiet)]
        told.append((_filled(numbers(one), _NUMBERS), text))
        told += [(_filled(part, columns), quiet) for part, columns in behind]
        told.append((shortened(plain(one.setup.notes), max(0, free - name)), quiet))
        return line(told, width, text)


def _filled(text: str, columns: int) -> str:
    told = shortened(text, columns)
    return told + " " * (columns - cell_len(told))
