"""Which folder this is, whether a watch runs on it, and whatever stands in the way."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from textual.strip import Strip

from tether.dashboard.palette import Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import fitted, line, shortened, spread
from tether.plain import plain
from tether.session.record import WatchState

_WHEN = re.compile(r"^[0-9]{2}:[0-9]{2}:[0-9]{2} ")


class StateLine(Panel):
    """One line; nothing but words in it, and they stay as long as they are true."""

    def __init__(self, palette: Palette, folder: Path) -> None:
        super().__init__(palette)
        self._folder = plain(str(folder))
        self.state = WatchState()
        self.watched: bool | None = None
        self.starting = False  # a watch was asked for, and has not been seen to run yet
        self.drawn_over = ""  # the frame that a fixed area was drawn over, if one was
        self.trouble = ""
        self.notice = ""
        self.said = ""  # what came of a key, for a few seconds

    @property
    def warning(self) -> str:
        """Whatever must not be missed, or nothing."""
        away = "" if self.state.there else "the folder is away"
        if away and self.state.line:
            away += f": {self.state.line}"
        camera = "" if self.state.camera_there else self.state.camera
        alerts = f"alerts fail: {self.state.alerts}" if self.state.alerts and self.watched else ""
        parts = (self.notice, self.trouble, away, camera, alerts)
        return plain("; ".join(_each_once(told for told in parts if told)))

    @property
    def standing(self) -> str:
        """Whether a watch runs."""
        if self.watched is None or self.trouble:
            return ""
        waited_for = "starting" if self.starting else "no watch is running"
        words = "watching" if self.watched else waited_for
        told = [self.state.line if self.state.there else "", self.state.camera]
        if self.drawn_over:
            told.append(f"area drawn over {self.drawn_over}")
        return ": ".join([words, *(plain(one) for one in told if one)])

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        text, quiet = self.palette.text(), self.palette.quiet()
        if self.warning:
            style = self.palette.notice()
            return line([(shortened(f" {self.warning}", width), style)], width, style)
        if self.said:
            return line([(shortened(f" {self.said}", width), self.palette.strong())], width, text)
        standing = shortened(self.standing, width * 2 // 3)
        room = max(0, width - len(standing) - 12)
        folder = self._folder if len(self._folder) <= room else fitted(self._folder, room)
        parts = [(" tether  ", self.palette.strong()), (folder, quiet)]
        return spread(parts, [(f"{standing} ", text if self.watched else quiet)], width, text)


def _each_once(parts: Iterable[str]) -> list[str]:
    """The parts without those that another one holds: watch and screen may see the same thing."""
    kept: list[str] = []
    for part in parts:
        bare = _WHEN.sub("", part)
        if not any(bare in other for other in kept):
            kept = [one for one in kept if _WHEN.sub("", one) not in part] + [part]
    return kept
