"""The running chart: newest on top, one bar a frame, the limit drawn through."""

from __future__ import annotations

from datetime import datetime

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.message import Message
from textual.strip import Strip

from tether.dashboard.bars import axis, bar, full_scale
from tether.dashboard.frames import Frames
from tether.dashboard.palette import OVERRULED, SLATE, SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.shots import Shots
from tether.dashboard.text import fitted, line, shortened
from tether.session.reader import Row

NAME_COLUMNS = (6, 24)  # at least, at most
HEADING = 1
MARGIN = 2  # columns between the bars and what stands beside them


class Chart(Panel):
    """Frames as bars; one is selected, and until somebody moves that is the newest."""

    class Selected(Message):
        """Another frame is selected, or the same one was judged anew."""

        def __init__(self, row: Row | None) -> None:
            self.row = row
            super().__init__()

    def __init__(self, palette: Palette, frames: Frames, shots: Shots) -> None:
        super().__init__(palette)
        self.frames = frames
        self.shots = shots
        self.following = True
        self.selected: int | None = None
        self._top = 0
        self._above = 0  # frames in view above the selected one
        self._name_columns = NAME_COLUMNS[0]
        self._full = 1.0
        self._strips: dict[tuple[int, int, bool], Strip] = {}
        self._told: Row | None = None

    def renew(self) -> None:
        """Draw anew after the frames have changed."""
        rows = self.frames.rows
        # Whoever looks at an older frame keeps it where it is, however many come in on top.
        if self.following or self.frames.get(self.selected) is None:
            self.selected = rows[-1].id if rows else None
            self._above = 0
        self._top = self.cursor - self._above
        recent = rows[-200:]
        self._name_columns = max([NAME_COLUMNS[0], *(cell_len(row.name) for row in recent)])
        self._full = full_scale(self.frames.widest_px, self.limit_px)
        self._strips.clear()
        self._show()

    @property
    def cursor(self) -> int:
        """The selected frame's place, counted from the newest."""
        row = self.frames.get(self.selected)
        return len(self.frames.rows) - 1 - self.frames.place(row) if row else 0

    @property
    def limit_px(self) -> float | None:
        """The limit of the newest frame that has one."""
        return next(
            (row.limit_px for row in reversed(self.frames.rows[-50:]) if row.limit_px), None
        )

    @property
    def lines(self) -> int:
        """How many frames are in view."""
        return max(1, self.size.height - HEADING)

    def move(self, to: int) -> None:
        """Select the frame at place `to`, counted from the newest, or the nearest there is."""
        rows = self.frames.rows
        if rows:
            self.following = False
            self.selected = rows[len(rows) - 1 - max(0, min(to, len(rows) - 1))].id
            self._show()

    def follow(self) -> None:
        """Select the newest frame, and every newer one as it comes."""
        self.following, self._top = True, 0
        self.renew()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the heading or a frame."""
        if y < HEADING:
            return self._heading(width)
        place = self._top + y - HEADING
        rows = self.frames.rows
        if place >= len(rows):
            return self.blank(width)
        row = rows[len(rows) - 1 - place]
        key = (row.id, width, row.id == self.selected)
        if key not in self._strips:
            older = rows[len(rows) - 2 - place] if place < len(rows) - 1 else None
            first = older is None or older.setup != row.setup
            lifted = row.id == self.selected
            if row.slate is not None:
                self._strips[key] = self._slate(row, width, lifted=lifted)
            else:
                self._strips[key] = self._frame(row, width, lifted=lifted, first=first)
        return self._strips[key]

    def on_resize(self) -> None:
        """Keep the selected frame in view."""
        self._strips.clear()
        self._show()

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Towards newer frames."""
        self.move(self.cursor - 3)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Towards older frames."""
        self.move(self.cursor + 3)

    def on_click(self, event: events.Click) -> None:
        """Select the frame under the pointer."""
        place = self._top + event.y - HEADING
        if event.y >= HEADING and place < len(self.frames.rows):
            self.move(place)

    def _show(self) -> None:
        self._top = max(self.cursor - self.lines + 1, min(self._top, self.cursor))
        self._top = max(0, min(self._top, len(self.frames.rows) - self.lines))
        self._above = self.cursor - self._top
        self.refresh()
        row = self.frames.get(self.selected)
        if row != self._told:
            self._told = row
            self.post_message(self.Selected(row))

    def _columns(self, width: int) -> tuple[int, int, int]:
        # Of time, name and bar; the bar has most and the time goes first.
        clock = 8 if width >= 64 else 5 if width >= 40 else 0
        name = min(
            self._name_columns, NAME_COLUMNS[1] if width >= 64 else 10, max(0, width - 16 - clock)
        )
        before = name + 9 + (clock + 1 if clock else 0)
        return clock, name, max(0, width - before - MARGIN)

    def _slate(self, row: Row, width: int, *, lifted: bool) -> Strip:
        text, quiet = self.palette.text(lifted=lifted), self.palette.quiet(lifted=lifted)
        strong = self.palette.strong(lifted=lifted)
        if lifted and not self.palette.colour:
            text = quiet = strong = self.palette.notice()
        clock, name, room = self._columns(width)
        when = datetime.fromtimestamp(row.arrived).strftime("%H:%M:%S")[:clock]
        opened = self.shots.opened_by(row)
        told = shortened(f"slate: {opened}" if opened else "slate", max(0, room + 4))
        parts = [
            ("▌" if lifted else " ", strong),
            (f"{SLATE} {when} " if clock else f"{SLATE} ", quiet),
            (f"{fitted(row.name, name)} ", text),
            (f"{told} ", strong),
            ("─" * max(0, room + 4 - cell_len(told)), self.palette.faint()),
        ]
        return line(parts, width, text)

    def _frame(self, row: Row, width: int, *, lifted: bool, first: bool) -> Strip:
        clock, name, room = self._columns(width)
        text, quiet = self.palette.text(lifted=lifted), self.palette.quiet(lifted=lifted)
        if lifted and not self.palette.colour:
            text = quiet = self.palette.notice()
        when = datetime.fromtimestamp(row.arrived).strftime("%H:%M:%S")[:clock]
        stands = self.palette.verdict(row.stands, lifted=lifted)
        value = "" if row.edge_width_px is None else f"{row.edge_width_px:.1f}"
        segments = [
            Segment("▌" if lifted else " ", stands),
            Segment(SYMBOLS.get(row.stands, "?"), stands),
            Segment(OVERRULED if row.overruled else " ", text),
            Segment(f"{when} " if clock else "", quiet),
            Segment(fitted(row.name, name), text),
            Segment(f" {value:>4} ", quiet),
        ]
        if room > 3:
            setup = self.shots.name(row.setup) if first else ""
            segments += bar(row, room, self._full, self.palette, lifted=lifted, setup=setup)
        return Strip(segments).adjust_cell_length(width, text)

    def _heading(self, width: int) -> Strip:
        room = self._columns(width)[2]
        before = width - room - MARGIN
        count = len(self.frames.rows)
        where = "newest" if self.following else f"{self.cursor + 1} of {count}"
        segments = [Segment(fitted(f"  {where}", before), self.palette.quiet())]
        if room > 3 and count:
            segments += axis(room, self._full, self.limit_px, self.palette)
        return Strip(segments).adjust_cell_length(width, self.palette.text())
