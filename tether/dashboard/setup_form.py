"""A setup of the shot list, to be written or changed."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Input

from tether.dashboard.aside import aside
from tether.dashboard.choice import Choice
from tether.dashboard.dialog import Dialog
from tether.dashboard.entry import Entry
from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line
from tether.plain import plain
from tether.session import setups
from tether.session.coverage import Coverage
from tether.session.shot_list import cells
from tether.session.shot_list.row import Row

OWN = "the session's"
_HINTS = {
    "name": "has to be there",
    "code": "what its slate shows, where that is not the name",
    "sharp": "1; with 0 any number will do",
    "area": "x,y,width,height in px or fractions; else where the session looks",
    "notes": "",
}


class Label(Panel):
    """What a line is for."""

    def __init__(self, palette: Palette, told: str) -> None:
        super().__init__(palette)
        self._told = told

    def drawn(self, y: int, width: int) -> Strip:
        """Draw it."""
        return line([(f" {self._told}", self.palette.quiet())], width, self.palette.text())


class SetupForm(Dialog):
    """Lines to type in, one a column of the shot list's file, and held to the same rules.

    Parameters
    ----------
    folder
        The session's.
    before
        The setup to be changed; None for a new one.
    """

    DEFAULT_CSS = """
    SetupForm #lines { height: auto; }
    SetupForm Horizontal { height: 1; }
    SetupForm Label { width: 9; height: 1; }
    SetupForm Entry, SetupForm Choice { width: 1fr; height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back"),
        Binding("up", "app.focus_previous"),
        Binding("down", "app.focus_next"),
        Binding("enter", "take"),
    ]

    def __init__(self, folder: Path, palette: Palette, before: Coverage | None) -> None:
        from tether.settings import presets

        super().__init__(palette, "a new setup" if before is None else before.setup.name)
        self._folder, self._before, self._presets = folder, before, presets()
        setup = before.setup if before is not None else None
        area = ",".join(map(_number, setup.area or ())) if setup else ""
        told = (
            {"name": "", "code": "", "sharp": "", "area": "", "notes": ""}
            if setup is None
            else {
                "name": setup.name,
                "code": setup.code,
                "sharp": str(setup.needed),
                "area": area,
                "notes": setup.notes,
            }
        )
        self.entries = {
            column: Entry(plain(text), placeholder=_HINTS[column]) for column, text in told.items()
        }
        preset = setup.preset if setup is not None else None
        self.preset = Choice(palette, [OWN, *self._presets], plain(preset) if preset else OWN)

    def body(self) -> list[Widget]:
        """The lines, by columns as the file has them."""
        fields: dict[str, Widget] = {}
        for column, entry in self.entries.items():
            if column == "area":
                fields["preset"] = self.preset
            fields[column] = entry
        lines = [Horizontal(Label(self.palette, name), field) for name, field in fields.items()]
        return [Vertical(*lines, id="lines")]

    def on_mount(self) -> None:
        """Begin with the name."""
        self.entries["name"].focus()
        self.keys.show([("Enter", "take"), ("Esc", "back"), ("↑ ↓", "line"), ("← →", "preset")])

    @on(Input.Submitted)
    def _submitted(self) -> None:
        self.action_take()

    def action_take(self) -> None:
        """Put it on the list, or say why it cannot be."""
        told: dict[str, object] = {name: one.value for name, one in self.entries.items()}
        told["preset"] = "" if self.preset.taken == OWN else self.preset.taken
        wrong: list[str] = []
        setup = cells.setup(Row("", told), self._presets, wrong.append)
        if setup is None or wrong:
            self.warn(wrong[0] if wrong else "no name; expected the setup's name")
            return
        if self.busy:
            return
        self.busy = True
        before, folder = self._before, self._folder

        def written() -> str:
            if before is None:
                setups.add(folder, setup, "screen")
                return f"{plain(setup.name)} is on the shot list"
            setups.change(folder, before.id, setup)
            return f"{plain(setup.name)} is changed"

        aside(self, written)


def _number(number: float) -> str:
    """As the list's cells take it: whole ones are px, and a fraction has its point."""
    if isinstance(number, int):
        return str(number)
    told = f"{number:.12f}".rstrip("0")
    return told + "0" if told.endswith(".") else told
