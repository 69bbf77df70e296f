"""What the dashboard's keys do."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable

from textual.app import App

from tether.dashboard import bindings
from tether.dashboard.aside import aside
from tether.dashboard.chart import Chart
from tether.dashboard.drawing import Drawing
from tether.dashboard.entry import Entry
from tether.dashboard.feed import Feed
from tether.dashboard.frames import Frames
from tether.dashboard.graphics import Graphics
from tether.dashboard.invitation import Invitation
from tether.dashboard.inviting import Inviting
from tether.dashboard.leaving import Leaving
from tether.dashboard.overruling import Overruling
from tether.dashboard.palette import Palette
from tether.dashboard.parts import Parts
from tether.dashboard.shot_list import ShotList
from tether.dashboard.shots import Shots
from tether.dashboard.state_line import StateLine
from tether.session import references, turns
from tether.session.reader import Row

PAN_PX = 8


class Actions(App[int]):
    """The keys' half of the dashboard; `renew`, `show_keys` and `arrange` are the other's."""

    palette: Palette
    graphics: Graphics | None
    second_screen: Callable[[], Invitation] | None
    ends_watch: bool
    feed: Feed
    frames: Frames
    shots: Shots
    parts: Parts
    chart: Chart
    state_line: StateLine

    @abstractmethod
    def renew(self) -> None:
        """Draw anew what tells of the session as a whole."""

    @abstractmethod
    def show_keys(self) -> None:
        """Show which keys do something now."""

    @abstractmethod
    def arrange(self) -> None:
        """Share out the terminal anew."""

    @property
    def chosen(self) -> Row | None:
        """The selected frame."""
        return self.frames.get(self.chart.selected)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave the keys to whatever lies over the dashboard, but for leaving."""
        if action not in bindings.NAMES or action == "interrupt":
            return True
        if action == "leave":
            return not isinstance(self.focused, Entry)  # there it is a letter
        return len(self.screen_stack) == 1

    def action_leave(self) -> None:
        """Leave; asked once more where that would end a watch with something still to be shot."""
        uncovered = self.shots.progress.uncovered
        asks = self.ends_watch and self.state_line.watched and uncovered
        if asks and not isinstance(self.screen, Leaving):
            reshoots = {one.coverage.id for one in self.shots.progress.reshoots}
            self.push_screen(Leaving(self.palette, uncovered, reshoots))
        else:
            self.exit(0)

    def action_interrupt(self) -> None:
        """Leave the same way."""
        self.action_leave()

    def action_invite(self) -> None:
        """Show how a second screen is let in."""
        if self.second_screen is not None:
            self.push_screen(Inviting(self.second_screen, self.palette))

    def action_draw(self) -> None:
        """Draw a fixed area over the selected frame."""
        row = self.chosen
        if row is not None:
            self.push_screen(Drawing(self.feed.folder, row, self.palette, self.graphics))

    def action_shot_list(self) -> None:
        """Look at the shot list, choose from it, change it."""
        self.push_screen(ShotList(self.feed.folder, self.shots, self.palette))

    def action_next_setup(self) -> None:
        """Turn to the next setup on the list."""
        folder = self.feed.folder

        def turned() -> str:
            return f"{turns.turn_on(folder, 'screen').setup.name} is the setup now"

        aside(self, turned)

    def action_overrule(self) -> None:
        """Say something against the selected frame's verdict."""
        row = self.chosen
        if row is not None and row.slate is None:
            leeway = self.shots.leeway
            told = self.parts.detail
            known = told.evidence if told is not None and told.number == row.id else None
            times = known.limit_times if known is not None else 1.0
            self.push_screen(Overruling(self.feed.folder, row, self.palette, leeway, times))

    def action_reference(self) -> None:
        """Make the selected frame the reference, or let go of it where it is."""
        row, folder = self.chosen, self.feed.folder
        if row is None:
            return
        lets_go = self.parts.detail is not None and self.parts.detail.chosen

        def chosen() -> str:
            if lets_go:
                references.let_go(folder, row.id)
                return f"{row.name} is not the chosen reference any more"
            references.choose(folder, row.id)
            return f"{row.name} is the reference for frames taken as it was"

        aside(self, chosen)

    def action_seen(self) -> None:
        """Somebody has looked at the soft frames."""
        self.frames.seen()
        self.renew()

    def action_newest(self) -> None:
        """Select the newest frame again, and every one that follows."""
        self.chart.follow()
        self.show_keys()

    def action_turn(self) -> None:
        """Show what comes next in the place that picture, facts and shot list share."""
        self.parts.turned_up = self.parts.next_turn
        self.arrange()

    def action_beside(self) -> None:
        """Show the reference in the frame's place, or the other way round."""
        if self.parts.reference_turns:
            self.parts.reference_turned_up = not self.parts.reference_turned_up
            self.arrange()

    def action_pan(self, right: int, down: int) -> None:
        """Pan the picture by a few px."""
        self.parts.pan(PAN_PX * right, PAN_PX * down)
        self.show_keys()

    def action_centre(self) -> None:
        """Back to the middle of the focus area."""
        self.parts.centre()
        self.show_keys()

    def action_enlarge(self) -> None:
        """One or two screen px a picture px, where the terminal can show them."""
        if self.graphics:
            self.parts.turn_zoom()
            self.show_keys()

    def action_step(self, by: int) -> None:
        """Select the frame `by` lines below."""
        self.chart.move(self.chart.cursor + by)

    def action_page(self, by: int) -> None:
        """Select the frame `by` screens below."""
        self.chart.move(self.chart.cursor + by * self.chart.lines)

    def action_place(self, place: int) -> None:
        """Select the newest frame (0) or the oldest (-1)."""
        self.chart.move(place if place >= 0 else len(self.frames.rows))
