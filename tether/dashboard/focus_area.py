"""The focus area at 1:1, cut to what fits and moved, but never scaled: squeezing hides blur."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.strip import Strip

from tether.dashboard.graphics import Graphics, picture
from tether.dashboard.halfcell import dithered, line, origin, window
from tether.dashboard.messages import Beside, Detail
from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line as text_line
from tether.dashboard.text import shortened, wrapped
from tether.plain import plain

if TYPE_CHECKING:
    from tether.dashboard.messages import Grey

HEADING = 1
REFERENCE = "reference"


class FocusArea(Panel):
    """Picture pixels of one frame's focus area, one a half cell."""

    def __init__(
        self, palette: Palette, graphics: Graphics | None = None, kind: str = "focus area of"
    ) -> None:
        super().__init__(palette)
        self._kind = kind
        self.graphics = graphics
        self.zoom = 2  # screen px a picture px, where the terminal shows screen px
        self._image = graphics.widget() if graphics else None
        self.grey: Grey | None = None
        self.pan = (0, 0)
        self._words = ""
        self._of = ""
        self._lines: list[Strip] = []

    def compose(self) -> ComposeResult:
        """Make room for the terminal's own picture, if it can show one."""
        if self._image is not None:
            self._image.styles.margin = (HEADING, 0, 0, 0)
            yield self._image

    def show(self, name: str, shown: Detail | Beside | None) -> None:
        """Show a frame's picture; None empties the part."""
        self._of = name
        self.grey = shown.grey if shown else None
        self._words = shown.words if shown else ""
        self.redraw()

    def move(self, right: int, down: int) -> None:
        """Pan by so many picture px, as far as the picture goes; the place is kept for the next."""
        if self.grey is not None:
            x, y = self.pan
            self.pan = self._within(x + right, y + down)
            self.redraw()

    def centre(self) -> None:
        """Back to the middle of the focus area."""
        self.pan = (0, 0)
        self.redraw()

    @property
    def shown(self) -> tuple[int, int]:
        """How many picture px fit, across and down."""
        lines = max(0, self.size.height - HEADING)
        if self.graphics is None:
            return self.size.width, 2 * lines
        across, down = self.graphics.cell
        return self.size.width * across // self.zoom, lines * down // self.zoom

    @property
    def pannable(self) -> bool:
        """Whether there is more of the picture than is shown."""
        if self.grey is None or not self.display:
            return False
        height, width = self.grey.shape
        return bool(width > self.shown[0] or height > self.shown[1])

    def redraw(self) -> None:
        """Draw the picture anew."""
        self._lines = []
        width, height = self.shown
        if self._image is not None:
            self._show_image()
        elif self.grey is not None and width and height:
            rows = window(self.grey, width, height, self.pan)
            text = self.palette.text()
            if self.palette.colour:
                self._lines = [
                    Strip(line(rows[y], rows[y + 1]), width) for y in range(0, height, 2)
                ]
            else:
                self._lines = [text_line([(dots, text)], width, text) for dots in dithered(rows)]
        self.refresh()

    def turn_zoom(self) -> None:
        """Twice as large, or back to one screen px a picture px."""
        self.zoom = 3 - self.zoom
        self.redraw()

    def _show_image(self) -> None:
        size = self.size.width, self.size.height - HEADING
        if self.graphics is None or self._image is None or min(size) < 1:
            return
        self._image.display = self.grey is not None
        if self.grey is not None:
            image, cells = picture(self.grey, size, self.pan, self.graphics.cell, self.zoom)
            self._image.styles.width, self._image.styles.height = cells
            self._image.image = image

    def on_resize(self) -> None:
        """Cut the picture to the new size."""
        self.redraw()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the heading or a line of the picture."""
        text, quiet = self.palette.text(), self.palette.quiet()
        if y < HEADING:
            return text_line([(shortened(self._heading(width), width), quiet)], width, text)
        if self._lines:
            return self._lines[y - HEADING] if y - HEADING < len(self._lines) else self.blank(width)
        if self.grey is not None:
            return self.blank(width)
        words = wrapped(plain(self._words), width, 3)
        told = words[y - HEADING] if y - HEADING < len(words) else ""
        return text_line([(told, quiet)], width, text)

    def _heading(self, columns: int) -> str:
        if self.grey is None:
            return f"{self._kind} {self._of}" if self._of else ""
        height, width = self.grey.shape
        x, y = self._within(*self.pan)
        moved = f", {x:+d} {y:+d}" if (x, y) != (0, 0) else ""
        shown = f"{min(width, self.shown[0])}×{min(height, self.shown[1])} of {width}×{height} px"
        scale = "1:1" if self.graphics is None or self.zoom == 1 else f"{self.zoom}:1"
        tellings = (
            f"{self._kind} {self._of} at {scale}, {shown}{moved}",
            f"{self._kind} {self._of} {scale}{moved}" if self._kind == REFERENCE else "",
            f"{self._of} {scale}, {shown}{moved}",
            f"{self._of} {scale}{moved}",
        )
        return next((one for one in tellings if one and cell_len(one) <= columns), tellings[-1])

    def _within(self, x: int, y: int) -> tuple[int, int]:
        if self.grey is None:
            return x, y
        height, width = self.grey.shape
        across, down = self.shown
        return (
            origin(width, across, x) - origin(width, across, 0) if width > across else 0,
            origin(height, down, y) - origin(height, down, 0) if height > down else 0,
        )
