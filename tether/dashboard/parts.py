"""The parts of the dashboard, made, stacked, and shared out over the terminal."""

from __future__ import annotations

from pathlib import Path

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from tether.dashboard.arrangement import Arrangement, arranged
from tether.dashboard.band import Band
from tether.dashboard.before_line import BeforeLine
from tether.dashboard.chart import Chart
from tether.dashboard.counts import Counts
from tether.dashboard.facts import Facts
from tether.dashboard.focus_area import REFERENCE, FocusArea
from tether.dashboard.frames import Frames
from tether.dashboard.graphics import Graphics
from tether.dashboard.keys import Keys
from tether.dashboard.messages import Detail
from tether.dashboard.palette import Palette
from tether.dashboard.reshoot_line import ReshootLine
from tether.dashboard.setup_line import SetupLine
from tether.dashboard.shot_table import ShotTable
from tether.dashboard.shots import Shots
from tether.dashboard.soft_line import SoftLine
from tether.dashboard.state_line import StateLine
from tether.session.reader import Row

PICTURE, FACTS, SHOT_LIST = "focus area", "facts", "list"


class Parts:
    """Every part, and which of them are in view.

    Where there is not room for all, picture, facts and shot list take turns, and so do a frame's
    picture and its reference's.
    """

    def __init__(
        self,
        folder: Path,
        palette: Palette,
        frames: Frames,
        shots: Shots,
        graphics: Graphics | None,
    ) -> None:
        self.frames, self.shots = frames, shots
        self.state_line = StateLine(palette, folder)
        self.before_line = BeforeLine(palette)
        self.band = Band(palette, shots)
        self.setup_line = SetupLine(palette, shots)
        self.reshoot_line = ReshootLine(palette, shots)
        self.counts = Counts(palette, frames)
        self.chart = Chart(palette, frames, shots)
        self.focus_area = FocusArea(palette, graphics)
        self.reference_area = FocusArea(palette, graphics, REFERENCE)
        self.facts = Facts(palette, shots)
        self.list_below, self.list_beside = ShotTable(palette, shots), ShotTable(palette, shots)
        self.soft_line = SoftLine(palette, frames)
        self.keys = Keys(palette)
        self.main, self.left, self.side = Horizontal(), Vertical(), Vertical()
        self.pictures = Horizontal()
        self.turned_up = PICTURE
        self.reference_turned_up = False
        self.detail: Detail | None = None
        self.at: Arrangement = arranged(0, 0)

    def stacked(self) -> ComposeResult:
        """Stack them."""
        yield from (self.state_line, self.before_line, self.band, self.setup_line)
        yield from (self.reshoot_line, self.counts)
        with self.main:
            with self.left:
                yield self.chart
                yield self.list_below
            with self.side:
                with self.pictures:
                    yield self.focus_area
                    yield self.reference_area
                yield self.facts
                yield self.list_beside
        yield self.soft_line
        yield self.keys

    @property
    def listed(self) -> bool:
        """Whether there is a shot list."""
        return bool(self.shots.progress.setups)

    @property
    def turns(self) -> list[str]:
        """What takes turns at the side, if anything does."""
        if not self.at.side or self.at.both:
            return []
        return [PICTURE, FACTS, *([SHOT_LIST] if self.listed else [])]

    @property
    def next_turn(self) -> str:
        """What the next turn brings up."""
        turns = self.turns
        at = turns.index(self.turned_up) if self.turned_up in turns else 0
        return turns[(at + 1) % len(turns)] if turns else self.turned_up

    @property
    def picture(self) -> FocusArea:
        """The picture that keys move: the frame's, unless the reference has taken its place."""
        return self.focus_area if self.focus_area.display else self.reference_area

    @property
    def has_reference(self) -> bool:
        """Whether a reference could be shown beside the chosen frame."""
        return self.detail is not None and self.detail.beside is not None

    @property
    def reference_turns(self) -> bool:
        """Whether the reference takes turns with the frame's own picture."""
        return self.has_reference and bool(self.pictures.display) and not self.at.paired

    def show(self, row: Row | None, detail: Detail | None) -> None:
        """Show what is known of the chosen frame."""
        had, self.detail = self.has_reference, detail
        beside = detail.beside if detail else None
        self.focus_area.show(row.name if row else "", detail)
        self.reference_area.show(beside.name if beside else "", beside)
        self.facts.show(row, detail)
        if had != self.has_reference:
            self._pictures()

    def renew_shots(self) -> None:
        """Draw anew whatever tells of setups."""
        self.list_below.renew()
        self.list_beside.renew()
        self.chart.renew()
        for part in (self.setup_line, self.reshoot_line, self.band, self.facts):
            part.refresh()

    def pan(self, right: int, down: int) -> None:
        """Move frame and reference alike."""
        shown, other = self.picture, self.reference_area
        shown.move(right, down)
        other = self.focus_area if shown is other else other
        other.pan = shown.pan
        other.redraw()

    def centre(self) -> None:
        """Both back to the middle."""
        self.focus_area.centre()
        self.reference_area.centre()

    def turn_zoom(self) -> None:
        """Both larger, or 1:1."""
        self.focus_area.turn_zoom()
        self.reference_area.turn_zoom()

    def arrange(self, columns: int, lines: int) -> None:
        """Share out a terminal of this size."""
        self.at = at = arranged(
            *(columns, lines),
            before=bool(self.before_line.concerns),
            setup=self.listed,
            reshoot=bool(self.shots.progress.reshoots),
        )
        self.band.scale, self.band.air = at.scale, at.air
        for part, height in (
            (self.state_line, at.state),
            (self.before_line, at.before),
            (self.band, at.band),
            (self.setup_line, at.setup),
            (self.reshoot_line, at.reshoot),
            (self.counts, at.counts),
            (self.main, at.main),
            (self.soft_line, at.soft),
            (self.keys, at.keys),
        ):
            part.styles.height = height
            part.display = height > 0
        below = at.lower if self.listed else 0
        self.left.styles.width, self.left.styles.height = at.chart, at.main
        self.chart.styles.width = self.list_below.styles.width = at.chart
        self.chart.styles.height = at.main - below - 1 if below else at.main
        _show(self.list_below, below, margin=1)
        self.side.styles.width = at.side
        self.side.display = at.side > 0
        if self.turned_up not in self.turns:
            self.turned_up = PICTURE
        turned = at.main if at.side else 0
        picture = at.main - at.lower - 1 if at.both else turned * (self.turned_up == PICTURE)
        _show(self.pictures, picture)
        _show(self.facts, at.lower or turned * (self.turned_up == FACTS), margin=int(at.both))
        _show(self.list_beside, turned * (self.turned_up == SHOT_LIST) if not at.both else 0)
        self._pictures()

    def _pictures(self) -> None:
        paired = self.at.paired and self.has_reference
        instead = not paired and self.has_reference and self.reference_turned_up
        self.focus_area.display, self.reference_area.display = not instead, paired or instead
        width = (self.at.side - 2) // 2 if paired else self.at.side
        for part in (self.focus_area, self.reference_area):
            part.styles.width, part.styles.height = width, self.pictures.styles.height
        self.reference_area.styles.margin = (0, 0, 0, 2 if paired else 0)


def _show(part: Facts | ShotTable | Horizontal, height: int, margin: int = 0) -> None:
    part.styles.height = height
    part.styles.margin = (margin, 0, 0, 0)
    part.display = height > 0
