"""Drawing a fixed area over a frame with the keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.strip import Strip

from tether.dashboard import whole_frame
from tether.dashboard.aside import in_thread
from tether.dashboard.drawing_picture import DrawingPicture
from tether.dashboard.graphics import Graphics
from tether.dashboard.keys import Keys
from tether.dashboard.palette import GROUND, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.rectangle import Rectangle
from tether.dashboard.text import line, shortened
from tether.model import Rect
from tether.plain import plain
from tether.session import laid
from tether.session.reader import Row
from tether.session.schema import RecordError

if TYPE_CHECKING:
    from tether.dashboard.whole_frame import WholeFrame

CLOSER = (1, 3, 9)


@dataclass
class Opened(Message):
    """The frame was read, or why not, in words."""

    whole: WholeFrame | None
    words: str


@dataclass
class Kept(Message):
    """The record was written; else why not, in words."""

    words: str


class Heading(Panel):
    """Where the rectangle lies, or what stands in the way."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(palette)
        self.told = ""
        self.trouble = ""

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        style = self.palette.notice() if self.trouble else self.palette.text()
        told = plain(self.trouble or self.told)
        return line([(shortened(f" {told}", width), style)], width, style)


class Drawing(Screen[None]):
    """The whole screen, until the area is taken or left.

    The frame is read and the area written in threads of their own: a share that hangs must not
    freeze the keys.
    """

    CSS = f"""
    Drawing {{ background: {GROUND}; overflow: hidden hidden; layout: vertical; }}
    Drawing:ansi {{ background: ansi_default; }}
    Heading, Keys {{ height: 1; }}
    DrawingPicture {{ height: 1fr; }}
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(f"{key},{key.upper()}" if len(key) == 1 else key, action)
        for key, action in (
            ("up", "move(0, -1)"),
            ("down", "move(0, 1)"),
            ("left", "move(-1, 0)"),
            ("right", "move(1, 0)"),
            ("i", "size(0, 1)"),
            ("k", "size(0, -1)"),
            ("j", "size(-1, 0)"),
            ("l", "size(1, 0)"),
            ("z", "closer"),
            ("x", "take_away"),
            ("enter", "take"),
            ("escape", "back"),
        )
    ]

    def __init__(
        self, folder: Path, row: Row, palette: Palette, graphics: Graphics | None = None
    ) -> None:
        super().__init__()
        self._folder, self._row = folder, row
        self._whole: WholeFrame | None = None
        self.rectangle: Rectangle | None = None
        self._closer = 0
        self._busy = False
        self.heading = Heading(palette)
        self.picture = DrawingPicture(palette, graphics)
        self.keys = Keys(palette)

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield self.heading
        yield self.picture
        yield self.keys

    def on_mount(self) -> None:
        """Begin to read the frame."""
        self.heading.told = f"reading {self._row.name}"
        self._show()
        in_thread(self, self._read, lambda words: Opened(None, words))

    def on_opened(self, message: Opened) -> None:
        """Show the frame, or say why it cannot be shown."""
        whole = self._whole = message.whole
        if whole is None:
            self.heading.trouble = f"{self._row.name} cannot be shown: {message.words}"
        else:
            self.rectangle = Rectangle(whole.begin, whole.upright, *whole.sides).sized(0, 0)
        self._show()

    def on_kept(self, message: Kept) -> None:
        """Go back, or say what stands in the way."""
        self._busy = False
        if message.words:
            self.heading.trouble = message.words
            self._show()
        else:
            self.dismiss()

    def on_resize(self) -> None:
        """The picture's step is another."""
        self._show()

    def action_move(self, right: int, down: int) -> None:
        """Move the rectangle by what can be seen."""
        if self.rectangle is not None:
            step = self.picture.step
            self._set(self.rectangle.moved(right * step, down * step))

    def action_size(self, wider: int, taller: int) -> None:
        """Make it wider, narrower, taller or lower."""
        if self.rectangle is not None:
            step = self.picture.step
            self._set(self.rectangle.sized(wider * step, taller * step))

    def action_closer(self) -> None:
        """Look closer, and at last at the whole again; keys move by less then."""
        self._closer = (self._closer + 1) % len(CLOSER)
        self._show()

    def action_take(self) -> None:
        """Judge frames here from the next one on."""
        whole, rectangle = self._whole, self.rectangle
        if whole is not None and rectangle is not None:
            self._write(lambda: whole_frame.keep(self._folder, whole, rectangle.rect))

    def action_take_away(self) -> None:
        """Forget the area that was drawn."""
        if self._whole is not None and self._whole.drawn:
            self._write(lambda: laid.take_away(self._folder, self._row.setup, self._row.camera))

    def action_back(self) -> None:
        """Leave everything as it was."""
        self.dismiss()

    def _set(self, rectangle: Rectangle) -> None:
        self.rectangle = rectangle
        self.heading.trouble = ""
        self._show()

    def _show(self) -> None:
        whole, rectangle = self._whole, self.rectangle
        keys = []
        if whole is not None and rectangle is not None:
            self.picture.show(whole, rectangle, CLOSER[self._closer])
            self.heading.told = f"area over {whole.name}: {_where(whole, rectangle.rect)}"
            last = self._closer == len(CLOSER) - 1
            keys = [
                ("← ↑ ↓ →", "move"),
                ("i j k l", "size"),
                ("z", "whole" if last else "closer"),
                ("Enter", "take"),
            ]
            keys += [("x", "no area")] if whole.drawn else []
        self.heading.refresh()
        self.keys.show([*keys, ("Esc", "back"), ("q", "leave")])

    def _read(self) -> Message:
        from tether.frame.file import Unreadable

        try:
            return Opened(whole_frame.read(self._folder, self._row), "")
        except (Unreadable, RecordError) as problem:
            return Opened(None, str(problem))
        except (ValueError, TypeError, KeyError, MemoryError) as problem:
            return Opened(None, f"the record or the picture is damaged ({problem})")

    def _write(self, step: Callable[[], None]) -> None:
        def written() -> Message:
            try:
                step()
            except RecordError as problem:
                return Kept(f"the area cannot be kept: {problem}")
            return Kept("")

        if not self._busy:
            self._busy = True
            in_thread(self, written, lambda words: Kept(f"the area cannot be kept: {words}"))


def _where(whole: WholeFrame, rect: Rect) -> str:
    """The rectangle as the facts tell it, and as settings and --area take it."""
    stored = whole.stored(rect)
    turned = " of the unrotated picture" if whole.orientation != 1 else ""
    return f"{stored.width}×{stored.height} px at {stored.x}, {stored.y}{turned}"
