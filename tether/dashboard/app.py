"""The dashboard: hands the parts what the feed tells, and does what the keys ask for."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.driver import Driver

from tether.dashboard import bindings
from tether.dashboard.actions import Actions
from tether.dashboard.arrangement import Arrangement
from tether.dashboard.aside import Done
from tether.dashboard.before_line import concerns_of
from tether.dashboard.chart import Chart
from tether.dashboard.feed import Feed
from tether.dashboard.frames import Frames
from tether.dashboard.graphics import Graphics
from tether.dashboard.invitation import Invitation
from tether.dashboard.messages import Broken, Changed, Detail, Progressed, Trouble, Watched
from tether.dashboard.palette import GROUND, Palette
from tether.dashboard.parts import Parts
from tether.dashboard.ringing import Ringing
from tether.dashboard.shot_list import ShotList
from tether.dashboard.shots import Shots
from tether.plain import plain

TICK_S = 0.1
SILENCE_S = 3.0
STARTING_S = 15.0
SAID_S = 5.0


class Dashboard(Actions):
    """The screen of one session.

    Parameters
    ----------
    folder
        The session's folder, whose record is read.
    bell
        Whether a soft frame that comes in rings the terminal's bell.
    in_danger_only
        Whether it does so only while the frame's setup lacks sharp frames.
    reshoot_bell
        Whether it rings for a setup that was left without them, too.
    ends_watch
        Whether leaving ends the watch: asked once more while setups are uncovered.
    notice
        Asked ten times a second for a line from whoever supervises the watch.
    graphics
        How the terminal shows pictures, if it can; found out before the screen runs.
    second_screen
        Asked how a second screen is let in, where there is one.
    driver_class
        What speaks to the terminal, in place of the toolkit's choice.
    """

    ENABLE_COMMAND_PALETTE = False
    AUTO_FOCUS = None
    CSS = f"""
    Screen {{ background: {GROUND}; overflow: hidden hidden; layout: vertical; }}
    Screen:ansi {{ background: ansi_default; }}
    Dialog, Dialog:ansi {{ background: transparent; }}
    """
    BINDINGS: ClassVar[list[BindingType]] = bindings.BINDINGS

    def __init__(
        self,
        folder: Path,
        *,
        bell: bool = True,
        in_danger_only: bool = True,
        reshoot_bell: bool = True,
        ends_watch: bool = False,
        notice: Callable[[], str | None] | None = None,
        graphics: Graphics | None = None,
        second_screen: Callable[[], Invitation] | None = None,
        driver_class: type[Driver] | None = None,
    ) -> None:
        # Empty means that colour is welcome; the toolkit looks at the variable's presence alone.
        if not os.environ.get("NO_COLOR"):
            os.environ.pop("NO_COLOR", None)
        colour = "NO_COLOR" not in os.environ
        super().__init__(driver_class=driver_class, ansi_color=None if colour else True)
        self._leaving: int | None = None
        self._bell, self.ends_watch, self._notice = bell, ends_watch, notice
        self._began = time.time()
        self._begun = False
        self._said_until = 0.0
        self._starting_until = time.monotonic() + STARTING_S
        self.graphics = graphics
        self.second_screen = second_screen
        self.palette = Palette(colour)
        self.frames, self.shots = Frames(), Shots()
        self._ringing = Ringing(self.shots, in_danger_only=in_danger_only, reshoot=reshoot_bell)
        self.feed = Feed(folder, self.post_message)
        self.parts = Parts(folder, self.palette, self.frames, self.shots, graphics)
        # As they are asked for most.
        self.band, self.chart = self.parts.band, self.parts.chart
        self.state_line, self.focus_area = self.parts.state_line, self.parts.focus_area
        self.state_line.starting = ends_watch

    @property
    def arrangement(self) -> Arrangement:
        """How the terminal is shared out."""
        return self.parts.at

    def leave(self, status: int) -> None:
        """Leave within a moment; may be called from a signal handler, at any time."""
        self._leaving = status

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield from self.parts.stacked()

    def on_mount(self) -> None:
        """Begin to read."""
        self._size_now = self.size
        self.arrange()
        self.feed.start()
        self.set_interval(TICK_S, self._tick)

    def on_unmount(self) -> None:
        """Stop reading."""
        self.feed.end()

    def on_resize(self, event: events.Resize) -> None:
        """Share out the new size, which the toolkit itself takes over only after this."""
        self._size_now = event.size
        self.arrange()

    def on_changed(self, message: Changed) -> None:
        """Take in what the record holds now."""
        # The first reading of a record is history, but for what came in while we looked on.
        since = self._began if message.anew else None
        if message.anew:
            self.frames.clear()
            self._ringing.forget()
        self._ringing.soft(self.frames.take(message.rows, message.gone, since=since))
        self._begun = True
        self.state_line.state = message.state
        self.state_line.drawn_over = message.laid.frame if message.laid else ""
        self.parts.counts.waiting = message.state.waiting
        self._tell_before()
        self.chart.renew()
        self.band.tell(self.frames.newest, time.monotonic())
        newest = self.frames.newest
        if newest is not None and newest != self.frames.get(self.chart.selected):
            self.feed.ask(newest)
        self.renew()

    def on_progressed(self, message: Progressed) -> None:
        """Take in how the shot list stands; ring, now that it is known what matters."""
        there = bool(self.shots.progress.setups), bool(self.shots.progress.reshoots)
        self.shots.take(message.progress, message.leeway)
        if self._ringing.due() and self._bell:
            # Once for all that were found together: a terminal rings no faster.
            self.bell()
        if there != (bool(self.shots.progress.setups), bool(self.shots.progress.reshoots)):
            self.arrange()
        self.parts.renew_shots()
        for screen in self.screen_stack:
            if isinstance(screen, ShotList):
                screen.renew()
        self.show_keys()

    def _tell_before(self) -> None:
        """Show what would make the next frame soft; its line comes and goes with it."""
        concerns = () if self.state_line.watched is False else concerns_of(self.state_line.state)
        line = self.parts.before_line
        there, line.concerns = bool(line.concerns), concerns
        if there != bool(concerns):
            self.arrange()
        line.refresh()

    def on_watched(self, message: Watched) -> None:
        """Say whether a watch runs."""
        late = time.monotonic() > self._starting_until
        if self.state_line.starting and (message.running or late):
            self.state_line.starting = False
            self.renew()
        if message.running != self.state_line.watched:
            self.state_line.watched = message.running
            self._tell_before()
            self.renew()

    def on_trouble(self, message: Trouble) -> None:
        """Say what stands in the way."""
        self.state_line.trouble = message.words
        self.renew()

    def on_broken(self, message: Broken) -> None:
        """End as any other failure of the screen does."""
        raise message.problem

    def on_detail(self, message: Detail) -> None:
        """Hand a frame's facts and picture to the parts that show that frame."""
        self.band.explain(message.number, message.facts, message.evidence)
        if message.number == self.chart.selected:
            self._show_detail(message)

    def on_chart_selected(self, message: Chart.Selected) -> None:
        """Ask for the selected frame's facts and picture."""
        if message.row is None:
            self._show_detail(None)
        else:
            self.feed.ask(message.row)
        self.show_keys()

    def on_done(self, message: Done) -> None:
        """Say what came of a key, for a few seconds."""
        if isinstance(self.screen, ShotList):
            self.screen.say(message)
        if message.said:
            self.state_line.said = plain(message.said)
            self._said_until = time.monotonic() + SAID_S
            self.renew()

    def _tick(self) -> None:
        if self._leaving is not None:
            self.exit(self._leaving)
        now = time.monotonic()
        self.band.tick(now)
        told = self._notice() if self._notice else None
        hung = "the folder does not answer" if now - self.feed.beat > SILENCE_S else ""
        words = "; ".join(part for part in (told, hung) if part)
        over = bool(self.state_line.said) and now >= self._said_until
        if over:
            self.state_line.said = ""
        if over or words != self.state_line.notice:
            self.state_line.notice = words
            self.renew()

    def renew(self) -> None:
        """Draw anew what tells of the session as a whole."""
        warning = self.state_line.warning
        self.band.empty = warning or ("no frame yet" if self._begun else "")
        # On a screen too small for the state's own line.
        soft, small = self.parts.soft_line, not self.arrangement.state
        soft.warning, soft.said = (warning, self.state_line.said) if small else ("", "")
        for part in (self.state_line, self.band, self.parts.counts, soft):
            part.refresh()
        self.show_keys()

    def _show_detail(self, detail: Detail | None) -> None:
        self.parts.show(self.frames.get(detail.number) if detail else None, detail)
        self.show_keys()

    def show_keys(self) -> None:
        """Show which keys do something now."""
        invites = self.second_screen is not None
        self.parts.keys.show(bindings.shown(self.parts, invites=invites))

    def arrange(self) -> None:
        """Share out the terminal anew."""
        self.parts.arrange(*self._size_now)
        self.renew()
