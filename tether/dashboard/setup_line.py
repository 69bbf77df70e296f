"""The setup that frames belong to now, what it has and needs, and which one is next."""

from __future__ import annotations

from rich.cells import cell_len
from rich.style import Style
from textual.strip import Strip

from tether.dashboard.has_needs import drawn, numbers, tries
from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.shots import Shots
from tether.dashboard.text import line, shortened, spread
from tether.plain import plain

Parts = list[tuple[str, Style]]


class SetupLine(Panel):
    """One line, there as long as there is a shot list."""

    def __init__(self, palette: Palette, shots: Shots) -> None:
        super().__init__(palette)
        self.shots = shots

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line; what is worth least goes first where it does not all fit."""
        text, quiet = self.palette.text(), self.palette.quiet()
        following = self.shots.following
        name = plain(following.setup.name) if following else ""
        covered = f"{self.shots.covered:,} of {len(self.shots.progress.setups):,} covered "
        ahead = f"next: {shortened(name, max(12, width // 4))} " if name else ""
        tellings = ((f"{ahead}· {covered}" if ahead else covered, True), (ahead, True), ("", True))
        for right, wordy in tellings:
            left = self._now(wordy=wordy)
            if _cells(left) + cell_len(right) + 2 <= width:
                return spread(left, [(right, quiet)], width, text)
        left = self._now(wordy=False)
        return line(self._now(wordy=False, less=_cells(left) - width), width, text)

    def _now(self, *, wordy: bool, less: int = 0) -> Parts:
        """The setup of now, its name `less` cells shorter than it is."""
        strong, quiet = self.palette.strong(), self.palette.quiet()
        one = self.shots.current
        if one is None:
            return [(" no setup now", strong), ("  t next, g shot list" * wordy, quiet)]
        name = plain(one.setup.name)
        style = self.palette.verdict("sharp") if one.covered else self.palette.text()
        return [
            (" setup ", quiet),
            (shortened(name, max(6, cell_len(name) - less)) if less > 0 else name, strong),
            ("  ", quiet),
            *drawn(one, self.palette),
            (f" {numbers(one)}", style),
            (f" sharp · {tries(one)}" * wordy, quiet),
        ]


def _cells(parts: Parts) -> int:
    return sum(cell_len(told) for told, _ in parts)
