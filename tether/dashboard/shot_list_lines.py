"""The lines above and below the shot list: what came of a key, and what else a setup says."""

from __future__ import annotations

from textual.strip import Strip

from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.reshoot_line import words
from tether.dashboard.shot_table import ShotTable
from tether.dashboard.text import line, shortened, wrapped
from tether.plain import plain

HINT = "frames belong to the setup that was turned to before them"


class Told(Panel):
    """What came of the last key, or what stands in the way."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(palette)
        self.told, self.refused = "", False

    def tell(self, told: str, *, refused: bool = False) -> None:
        """Say it until the next time."""
        self.told, self.refused = plain(told), refused
        self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        style = self.palette.notice() if self.refused else self.palette.strong()
        if not self.told:
            style = self.palette.quiet()
        told = shortened(f" {self.told or HINT}", width)
        return line([(told, style)], width, style if self.refused else self.palette.text())


class About(Panel):
    """What else there is to say of the setup under the cursor."""

    def __init__(self, palette: Palette, table: ShotTable) -> None:
        super().__init__(palette)
        self._table = table

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        one = self._table.chosen
        if one is None:
            told = " nothing on it yet: a adds a setup" if y == 0 else ""
            return line([(told, self.palette.quiet())], width, self.palette.text())
        reshoot = self._table.shots.reshoot(one.id)
        area = ", ".join(f"{number:g}" for number in one.setup.area or ())
        facts = (
            f"reshoot: {words(reshoot)}" if reshoot is not None else "",
            f"code {one.setup.code}" if one.setup.code else "",
            f"preset {one.setup.preset}" if one.setup.preset else "",
            f"area {area}" if area else "",
            one.setup.notes,
        )
        whole = plain(" · ".join(part for part in facts if part))
        lines = wrapped(whole, max(1, width - 2), 2)
        text = f" {lines[y]}" if y < len(lines) else ""
        return line([(text, self.palette.quiet())], width, self.palette.text())
