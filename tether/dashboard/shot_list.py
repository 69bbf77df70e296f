"""The shot list, to choose from and to change."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Input

from tether.dashboard.aside import Done, aside
from tether.dashboard.entry import Entry
from tether.dashboard.keys import Keys
from tether.dashboard.palette import GROUND, Palette
from tether.dashboard.setup_form import SetupForm
from tether.dashboard.shot_list_lines import About, Told
from tether.dashboard.shot_table import ShotTable
from tether.dashboard.shots import Shots
from tether.plain import plain
from tether.session import reshoots, setups, turns
from tether.session.shot_list.spelling import folded


class ShotList(Screen[None]):
    """The whole screen, until a setup is chosen or it is left.

    What is written is written in threads of their own, as the record may lie on a share that hangs.
    """

    CSS = f"""
    ShotList {{ background: {GROUND}; overflow: hidden hidden; layout: vertical; }}
    ShotList:ansi {{ background: ansi_default; }}
    ShotList Told, ShotList Keys {{ height: 1; }}
    ShotList ShotTable {{ height: 1fr; }}
    ShotList About {{ height: 2; }}
    ShotList Entry {{ display: none; }}
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(f"{key},{key.upper()}" if len(key) == 1 else key, action)
        for key, action in (
            ("up", "step(-1)"),
            ("down", "step(1)"),
            ("pageup", "page(-1)"),
            ("pagedown", "page(1)"),
            ("home", "place(0)"),
            ("end", "place(-1)"),
            ("enter", "choose"),
            ("a", "add"),
            ("e", "edit"),
            ("x", "remove"),
            ("i", "move(-1)"),
            ("k", "move(1)"),
            ("o", "on_it"),
            ("n", "none"),
            ("g", "back"),
            ("slash", "find"),
            ("escape", "back"),
        )
    ]

    def __init__(self, folder: Path, shots: Shots, palette: Palette) -> None:
        super().__init__()
        self._folder, self._shots, self._palette = folder, shots, palette
        self._count: int | None = None  # of setups, when a new one was begun
        self.told = Told(palette)
        self.table = ShotTable(palette, shots, choosing=True)
        self.about = About(palette, self.table)
        self.finding = Entry(placeholder="find: part of a name or code")
        self.keys = Keys(palette)

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield self.told
        yield self.finding
        yield self.table
        yield self.about
        yield self.keys

    def on_mount(self) -> None:
        """Begin at the setup of now."""
        self.table.move(self._shots.place(self._shots.progress.current) or 0)
        self.renew()

    def on_resize(self) -> None:
        """The keys take two lines where they do not fit on one."""
        self.keys.styles.height = 2 if self.app.size.width < 120 and self.app.size.height > 9 else 1

    def renew(self) -> None:
        """Show the list as it is now."""
        count = len(self._shots.progress.setups)
        if self._count is not None and count > self._count:
            # It stands at the end, from where it may be moved.
            self._count = None
            self.table.move(count - 1)
        self.table.renew()
        self.about.refresh()
        self._show_keys()

    def say(self, message: Done) -> None:
        """Say what came of something."""
        self.told.tell(message.said, refused=message.refused)

    def on_done(self, message: Done) -> None:
        """Say what came of it."""
        self.say(message)

    def action_step(self, by: int) -> None:
        """Down the list, or up."""
        self._go(self.table.cursor + by)

    def action_page(self, by: int) -> None:
        """A screen down the list, or up."""
        self._go(self.table.cursor + by * self.table.lines)

    def action_place(self, place: int) -> None:
        """To the first or the last setup."""
        self._go(place if place >= 0 else len(self._shots.progress.setups))

    def action_choose(self) -> None:
        """Have frames from now on belong to this setup."""
        one = self.table.chosen
        if one is not None:
            name = plain(one.setup.name)
            self._turn(one.id, f"{name} is the setup now")

    def action_none(self) -> None:
        """Have frames from now on belong to no setup."""
        self._turn(None, "no setup now")

    def action_add(self) -> None:
        """Write a new one."""
        self._count = len(self._shots.progress.setups)
        self.app.push_screen(SetupForm(self._folder, self._palette, None))

    def action_edit(self) -> None:
        """Change this one."""
        if self.table.chosen is not None:
            self.app.push_screen(SetupForm(self._folder, self._palette, self.table.chosen))

    def action_remove(self) -> None:
        """Take it off the list."""
        one = self.table.chosen
        if one is not None:
            name = plain(one.setup.name)
            self._write(
                lambda: setups.remove(self._folder, one.id), f"{name} is off the shot list", name
            )

    def action_move(self, by: int) -> None:
        """One place down the list, or up."""
        one = self.table.chosen
        if one is not None:
            self._write(lambda: setups.move(self._folder, one.id, by), "")

    def action_on_it(self) -> None:
        """Say that somebody is on its reshoot."""
        one = self.table.chosen
        reshoot = self._shots.reshoot(one.id) if one is not None else None
        if reshoot is not None and reshoot.on_it is None:
            said = f"somebody is on it: {plain(reshoot.coverage.setup.name)}"
            self._write(lambda: reshoots.take(self._folder, reshoot.id), said)

    def action_find(self) -> None:
        """Type a part of a name or code."""
        self.finding.display = True
        self.finding.focus()
        self._show_keys()

    @on(Input.Changed)
    def _look(self, message: Input.Changed) -> None:
        wanted = folded(message.value)
        found = self._found(wanted, self.table.cursor) if wanted else self.table.cursor
        self.told.tell("" if found is not None else f"no setup has {message.value} in it")
        if found is not None:
            self._go(found)

    @on(Input.Submitted)
    def _found_it(self) -> None:
        self._end_finding()

    def on_entry_refused(self, message: Entry.Refused) -> None:
        """Say what stands in the way."""
        self.told.tell(message.words, refused=True)

    def action_back(self) -> None:
        """To the dashboard; while something is looked for, to the list."""
        if self.finding.display:
            self._end_finding()
        else:
            self.dismiss()

    def _end_finding(self) -> None:
        self.set_focus(None)
        self.finding.display = False
        self._show_keys()

    def _found(self, wanted: str, begin: int) -> int | None:
        """The first setup from `begin` on, round the end, with this in its name or code."""
        every = self._shots.progress.setups
        order = (*range(begin, len(every)), *range(begin))
        return next(
            (
                place
                for place in order
                if wanted in folded(every[place].setup.name)
                or wanted in folded(every[place].setup.code)
            ),
            None,
        )

    def _go(self, to: int) -> None:
        self.table.move(to)
        self.about.refresh()
        self._show_keys()

    def _turn(self, number: int | None, said: str) -> None:
        def turned() -> str:
            turns.turn(self._folder, number, "screen")
            return said

        # Whoever turns wants to see the next frame: back to the dashboard, which says the rest.
        aside(self.app, turned)
        self.dismiss()

    def _write(self, step: Callable[[], object], said: str, name: str = "") -> None:
        def written() -> str:
            try:
                step()
            except setups.SetupError as problem:
                raise setups.SetupError(f"{name}: {problem}" if name else str(problem)) from None
            return said

        aside(self, written)

    def _show_keys(self) -> None:
        if self.finding.display:
            self.keys.show([("Enter", "found"), ("Esc", "found")])
            return
        one = self.table.chosen
        keys = [("↑ ↓", "setup"), ("Enter", "turn to it")] if one is not None else []
        keys.append(("a", "add"))
        if one is not None:
            reshoot = self._shots.reshoot(one.id)
            keys += [("o", "on it")] if reshoot is not None and reshoot.on_it is None else []
            keys += [("e", "edit"), ("x", "remove"), ("i k", "move up, down"), ("/", "find")]
        if self._shots.progress.current is not None:
            keys.append(("n", "no setup"))
        self.keys.show([("Esc", "back"), *keys, ("q", "leave")])
