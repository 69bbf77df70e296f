"""The dashboard: puts the parts together and hands each what the feed tells."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.driver import Driver

from tether.dashboard.arrangement import Arrangement, arranged
from tether.dashboard.band import Band
from tether.dashboard.before_line import BeforeLine, concerns_of
from tether.dashboard.chart import Chart
from tether.dashboard.counts import Counts
from tether.dashboard.drawing import Drawing
from tether.dashboard.facts import Facts
from tether.dashboard.feed import Feed
from tether.dashboard.focus_area import FocusArea
from tether.dashboard.frames import Frames
from tether.dashboard.graphics import Graphics
from tether.dashboard.invitation import Invitation
from tether.dashboard.inviting import Inviting
from tether.dashboard.keys import Keys
from tether.dashboard.messages import Broken, Changed, Detail, Trouble, Watched
from tether.dashboard.palette import GROUND, Palette
from tether.dashboard.soft_line import SoftLine
from tether.dashboard.state_line import StateLine
from tether.session.reader import Row

TICK_S = 0.1
SILENCE_S = 3.0
PAN_PX = 8


class Dashboard(App[int]):
    """The screen of one session.

    Parameters
    ----------
    folder
        The session's folder, whose record is read.
    bell
        Whether a soft frame that comes in rings the terminal's bell.
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
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        # The letters work with the capitals locked, too.
        Binding(f"{key},{key.upper()}" if len(key) == 1 else key, action, priority=True)
        for key, action in (
            ("q", "leave"),
            ("ctrl+c", "leave"),
            ("s", "seen"),
            ("n", "newest"),
            ("f", "turn"),
            ("c", "centre"),
            ("e", "enlarge"),
            ("a", "draw"),
            ("v", "invite"),
            ("i", "pan(0, -1)"),
            ("k", "pan(0, 1)"),
            ("j", "pan(-1, 0)"),
            ("l", "pan(1, 0)"),
            ("up", "step(-1)"),
            ("down", "step(1)"),
            ("pageup", "page(-1)"),
            ("pagedown", "page(1)"),
            ("home", "place(0)"),
            ("end", "place(-1)"),
        )
    ]

    def __init__(
        self,
        folder: Path,
        *,
        bell: bool = True,
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
        self._bell, self._notice = bell, notice
        self._began = time.time()
        self._begun = False
        self._facts_turned_up = False
        self._graphics = graphics
        self._second_screen = second_screen
        self._detail: Detail | None = None
        palette = Palette(colour)
        self.frames = Frames()
        self.feed = Feed(folder, self.post_message)
        self.state_line = StateLine(palette, folder)
        self.before_line = BeforeLine(palette)
        self.band = Band(palette)
        self.counts = Counts(palette, self.frames)
        self.chart = Chart(palette, self.frames)
        self.focus_area = FocusArea(palette, graphics)
        self.facts = Facts(palette)
        self.soft_line = SoftLine(palette, self.frames)
        self.keys = Keys(palette)
        self.main, self.side = Horizontal(), Vertical()

    def leave(self, status: int) -> None:
        """Leave within a moment; may be called from a signal handler, at any time."""
        self._leaving = status

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield self.state_line
        yield self.before_line
        yield self.band
        yield self.counts
        with self.main:
            yield self.chart
            with self.side:
                yield self.focus_area
                yield self.facts
        yield self.soft_line
        yield self.keys

    def on_mount(self) -> None:
        """Begin to read."""
        self._size_now = self.size
        self._arrange()
        self.feed.start()
        self.set_interval(TICK_S, self._tick)

    def on_unmount(self) -> None:
        """Stop reading."""
        self.feed.end()

    def on_resize(self, event: events.Resize) -> None:
        """Share out the new size, which the toolkit itself takes over only after this."""
        self._size_now = event.size
        self._arrange()

    def on_changed(self, message: Changed) -> None:
        """Take in what the record holds now."""
        # The first reading of a record is history, but for what came in while we looked on.
        since = self._began if message.anew else None
        if message.anew:
            self.frames.clear()
        news = self.frames.take(message.rows, message.gone, since=since)
        if news and self._bell:
            # Once for all that were found together: a terminal rings no faster.
            self.bell()
        self._begun = True
        self.state_line.state = message.state
        self.state_line.drawn_over = message.laid.frame if message.laid else ""
        self.counts.waiting = message.state.waiting
        self._tell_before()
        self.chart.renew()
        self.band.tell(self.frames.newest, time.monotonic())
        newest = self.frames.newest
        if newest is not None and newest != self.frames.get(self.chart.selected):
            self.feed.ask(newest)
        self._refresh()

    def _tell_before(self) -> None:
        """Show what would make the next frame soft; its line comes and goes with it."""
        concerns = () if self.state_line.watched is False else concerns_of(self.state_line.state)
        there, self.before_line.concerns = bool(self.before_line.concerns), concerns
        if there != bool(concerns):
            self._arrange()
        self.before_line.refresh()

    def on_watched(self, message: Watched) -> None:
        """Say whether a watch runs."""
        if message.running != self.state_line.watched:
            self.state_line.watched = message.running
            self._tell_before()
            self._refresh()

    def on_trouble(self, message: Trouble) -> None:
        """Say what stands in the way."""
        self.state_line.trouble = message.words
        self._refresh()

    def on_broken(self, message: Broken) -> None:
        """End as any other failure of the screen does."""
        raise message.problem

    def on_detail(self, message: Detail) -> None:
        """Hand a frame's facts and picture to the parts that show that frame."""
        self.band.explain(message.number, message.facts, message.evidence)
        if message.number == self.chart.selected:
            self._detail = message
            self._show_detail()

    def on_chart_selected(self, message: Chart.Selected) -> None:
        """Ask for the selected frame's facts and picture."""
        if message.row is None:
            self._detail = None
            self._show_detail()
        else:
            self.feed.ask(message.row)
        self._show_keys()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave the keys to a screen over this one while there is one, but for leaving."""
        return action == "leave" or not isinstance(self.screen, Drawing | Inviting)

    def action_draw(self) -> None:
        """Draw a fixed area over the selected frame."""
        row = self.frames.get(self.chart.selected)
        if row is not None:
            self.push_screen(Drawing(self.feed.folder, row, self.chart.palette, self._graphics))

    def action_invite(self) -> None:
        """Show how a second screen is let in."""
        if self._second_screen is not None:
            self.push_screen(Inviting(self._second_screen, self.chart.palette))

    def action_leave(self) -> None:
        """Leave; the watch goes on."""
        self.exit(0)

    def action_seen(self) -> None:
        """Somebody has looked at the soft frames."""
        self.frames.seen()
        self._refresh()

    def action_newest(self) -> None:
        """Select the newest frame again, and every one that follows."""
        self.chart.follow()
        self._show_keys()

    def action_turn(self) -> None:
        """Show facts in place of the picture, or the other way round."""
        self._facts_turned_up = not self._facts_turned_up
        self._arrange()

    def action_pan(self, right: int, down: int) -> None:
        """Pan the picture by a few px."""
        self.focus_area.move(PAN_PX * right, PAN_PX * down)
        self._show_keys()

    def action_centre(self) -> None:
        """Back to the middle of the focus area."""
        self.focus_area.centre()
        self._show_keys()

    def action_enlarge(self) -> None:
        """One or two screen px a picture px, where the terminal can show them."""
        if self.focus_area.graphics:
            self.focus_area.turn_zoom()
            self._show_keys()

    def action_step(self, by: int) -> None:
        """Select the frame `by` lines below."""
        self.chart.move(self.chart.cursor + by)

    def action_page(self, by: int) -> None:
        """Select the frame `by` screens below."""
        self.chart.move(self.chart.cursor + by * self.chart.lines)

    def action_place(self, place: int) -> None:
        """Select the newest frame (0) or the oldest (-1)."""
        self.chart.move(place if place >= 0 else len(self.frames.rows))

    def _tick(self) -> None:
        if self._leaving is not None:
            self.exit(self._leaving)
        now = time.monotonic()
        self.band.tick(now)
        told = self._notice() if self._notice else None
        hung = "the folder does not answer" if now - self.feed.beat > SILENCE_S else ""
        words = "; ".join(part for part in (told, hung) if part)
        if words != self.state_line.notice:
            self.state_line.notice = words
            self._refresh()

    def _refresh(self) -> None:
        warning = self.state_line.warning
        self.band.empty = warning or ("no frame yet" if self._begun else "")
        # On a screen too small for the state's own line.
        self.soft_line.warning = "" if self.arrangement.state else warning
        for part in (self.state_line, self.band, self.counts, self.soft_line):
            part.refresh()
        self._show_keys()

    def _show_detail(self) -> None:
        row: Row | None = self.frames.get(self._detail.number) if self._detail else None
        self.focus_area.show(row.name if row else "", self._detail)
        self.facts.show(row, self._detail)
        self._show_keys()

    def _show_keys(self) -> None:
        keys = [("q", "leave")]
        if self.frames.unseen:
            keys.append(("s", "seen"))
        if self._second_screen is not None:
            keys.append(("v", "second screen"))
        if self.frames.rows:
            if not self.chart.following:
                keys.append(("n", "newest"))
            keys.append(("↑ ↓ PgUp PgDn Home End", "frame"))
            keys.append(("a", "draw area"))
        if self.arrangement.side and not self.arrangement.both:
            keys.append(("f", "focus area" if self._facts_turned_up else "facts"))
        if self.focus_area.pannable:
            keys.append(("i j k l", "pan"))
            if self.focus_area.pan != (0, 0):
                keys.append(("c", "centre"))
        if self.focus_area.graphics and self.focus_area.display:
            keys.append(("e", "1:1" if self.focus_area.zoom == 2 else "enlarge"))
        self.keys.show(keys)

    def _arrange(self) -> None:
        self.arrangement: Arrangement = arranged(
            *self._size_now, before=bool(self.before_line.concerns)
        )
        at = self.arrangement
        self.band.scale, self.band.air = at.scale, at.air
        for part, height in (
            (self.state_line, at.state),
            (self.before_line, at.before),
            (self.band, at.band),
            (self.counts, at.counts),
            (self.main, at.main),
            (self.soft_line, at.soft),
            (self.keys, at.keys),
        ):
            part.styles.height = height
            part.display = height > 0
        self.chart.styles.width, self.chart.styles.height = at.chart, at.main
        self.side.styles.width = at.side
        self.side.display = at.side > 0
        picture = at.main * 3 // 5 if at.both else at.main
        self.focus_area.styles.height = picture
        self.facts.styles.height = at.main - picture - 1 if at.both else at.main
        self.facts.styles.margin = (int(at.both), 0, 0, 0)
        self.focus_area.display = at.both or not self._facts_turned_up
        self.facts.display = at.both or self._facts_turned_up
        self._refresh()
