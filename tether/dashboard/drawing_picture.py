"""The whole frame, or a part of it, reduced to what fits, with the rectangle drawn over it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.strip import Strip

from tether.dashboard.graphics import Graphics, picture
from tether.dashboard.halfcell import MARK, dithered, line, window
from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.rectangle import Rectangle
from tether.dashboard.text import line as text_line

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from tether.dashboard.whole_frame import WholeFrame


class DrawingPicture(Panel):
    """A frame, the right way up; on a screen of half cells one shown px is half a cell."""

    def __init__(self, palette: Palette, graphics: Graphics | None) -> None:
        super().__init__(palette)
        self._graphics = graphics
        self._image = graphics.widget() if graphics else None
        self._lines: list[Strip] = []
        self._whole: WholeFrame | None = None
        self._rectangle: Rectangle | None = None
        self._closer = 1

    def compose(self) -> ComposeResult:
        """Make room for the terminal's own picture, if it can show one."""
        if self._image is not None:
            yield self._image

    def show(self, whole: WholeFrame, rectangle: Rectangle, closer: int) -> None:
        """Show the frame, so many times closer than whole, and the rectangle."""
        self._whole, self._rectangle, self._closer = whole, rectangle, closer
        self._draw()

    def on_resize(self) -> None:
        """Fit the picture to the new size."""
        self._draw()

    @property
    def room(self) -> tuple[int, int]:
        """Screen px across and down."""
        cell = self._graphics.cell if self._graphics else (1, 2)
        return self.size.width * cell[0], self.size.height * cell[1]

    @property
    def step(self) -> int:
        """Px of the frame along a half cell, so that a key moves by what can be seen."""
        if self._whole is None or min(self.room) < 1:
            return 1
        across = self._graphics.cell[0] if self._graphics else 1
        return max(1, round(across / self._scale(self._whole)))

    def drawn(self, y: int, width: int) -> Strip:
        """Draw a line of the picture."""
        return self._lines[y] if y < len(self._lines) else self.blank(width)

    def _scale(self, whole: WholeFrame) -> float:
        """Screen px along a px of the frame."""
        return self._closer * min(
            room / side for room, side in zip(self.room, whole.upright, strict=True)
        )

    def _draw(self) -> None:
        self._lines = []
        if self._whole is None or self._rectangle is None or min(self.size) < 1:
            return
        marked = _marked(self._whole, self._rectangle, self.room, self._scale(self._whole))
        if self._graphics is not None and self._image is not None:
            size = self.size.width, self.size.height
            grey = marked.clip(0, 255).astype("uint8")
            image, cells = picture(grey, size, (0, 0), self._graphics.cell, 1)
            self._image.styles.width, self._image.styles.height = cells
            self._image.image = image
        else:
            width, height = self.room
            rows = window(marked, width, height, (0, 0))
            text = self.palette.text()
            self._lines = (
                [Strip(line(rows[y], rows[y + 1]), width) for y in range(0, height, 2)]
                if self.palette.colour
                else [text_line([(dots, text)], width, text) for dots in dithered(rows)]
            )
        self.refresh()


def _marked(
    whole: WholeFrame, rectangle: Rectangle, room: tuple[int, int], scale: float
) -> npt.NDArray[np.int16]:
    """The part of the frame that fits, reduced to screen px, and the rectangle's outline."""
    import cv2
    import numpy as np

    rect, shown = rectangle.rect, whole.shown
    middle = rect.x + rect.width / 2, rect.y + rect.height / 2
    times = whole.upright[0] / shown.shape[1]
    spans = [_span(middle[i] / times, room[i] / scale / times, shown.shape[1 - i]) for i in (0, 1)]
    (left, right), (top, bottom) = spans
    size = [
        max(1, min(room[i], round((spans[i][1] - spans[i][0]) * scale * times))) for i in (0, 1)
    ]
    part = np.ascontiguousarray(shown[top:bottom, left:right])
    grey = cv2.resize(part, size, interpolation=cv2.INTER_AREA).astype(np.int16)
    across, down = size[0] / (right - left) / times, size[1] / (bottom - top) / times
    x0, x1 = (round((x - left * times) * across) for x in (rect.x, rect.x + rect.width))
    y0, y1 = (round((y - top * times) * down) for y in (rect.y, rect.y + rect.height))
    # Around the rectangle, so that it hides nothing of it; dark beyond, to stand out anywhere.
    for reach, value in ((2, 0), (1, MARK)):
        _outline(grey, x0 - reach, y0 - reach, x1 + reach, y1 + reach, value)
    return np.asarray(grey, np.int16)


def _outline(grey: npt.NDArray[np.int16], x0: int, y0: int, x1: int, y1: int, value: int) -> None:
    """Draw the outline of columns x0 to x1 and rows y0 to y1, the last ones not included."""
    rows, columns = grey.shape
    across, down = slice(max(x0, 0), max(x1, 0)), slice(max(y0, 0), max(y1, 0))
    for y in (y0, y1 - 1):
        if 0 <= y < rows:
            grey[y, across] = value
    for x in (x0, x1 - 1):
        if 0 <= x < columns:
            grey[down, x] = value


def _span(middle: float, length: float, side: int) -> tuple[int, int]:
    """From where to where a window about `middle` goes, moved into the picture's side."""
    whole = min(side, max(1, round(length)))
    start = min(max(round(middle - whole / 2), 0), side - whole)
    return start, start + whole
