"""The photographer's word against the verdict of one frame."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tether.dashboard.aside import aside
from tether.dashboard.dialog import Dialog, Line, Lines
from tether.dashboard.entry import Entry
from tether.dashboard.palette import SYMBOLS, Palette
from tether.dashboard.text import shortened
from tether.model import Verdict
from tether.plain import plain
from tether.session import overrules
from tether.session.reader import Row
from tether.verdict.limit import Leeway

# What is said at a shoot; common practice, no source.
READY = (
    (Verdict.SHARP, "soft on purpose"),
    (Verdict.SHARP, "sharp enough for its use"),
    (Verdict.SHARP, "focus is where it should be"),
    (Verdict.SOFT, "missed, whatever it measures"),
    (Verdict.SOFT, "sharp, but not where it should be"),
)


class Overruling(Dialog):
    """Verdict, reason, and whether the session's limit follows.

    Parameters
    ----------
    row
        The frame.
    limit_times
        How many times the settings' own its limit was.
    leeway
        How the limit was fed, if it was.
    """

    DEFAULT_CSS = "Overruling Entry { display: none; margin: 0 0 0 4; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(f"{key},{key.upper()}" if len(key) == 1 else key, action)
        for key, action in (
            *((str(place + 1), f"ready({place})") for place in range(len(READY))),
            ("up", "step(-1)"),
            ("down", "step(1)"),
            ("w", "words"),
            ("v", "verdict"),
            ("l", "limit"),
            ("x", "take_back"),
            ("u", "settings_limit"),
            ("enter", "take"),
            ("escape", "back"),
        )
    ]

    def __init__(
        self,
        folder: Path,
        row: Row,
        palette: Palette,
        leeway: Leeway | None,
        limit_times: float = 1.0,
    ) -> None:
        super().__init__(palette, f"{row.name}: your word")
        self._folder, self._row, self._leeway = folder, row, leeway
        own = (row.limit_px or 0.0) / limit_times
        self._limit_now = own * (leeway.times if leeway is not None else 1.0)
        # Nobody overrules a verdict by the same one.
        self.ready = tuple(one for one in READY if one[0] != row.verdict)
        self.place, self.verdict = 0, self.ready[0][0]
        self.follows = False
        self.lines = Lines(palette)
        self.reason = Entry(placeholder="why, in a few words")
        self.below = Lines(palette)

    def body(self) -> list[Widget]:
        """The reasons, a line for one's own, and the limit."""
        return [self.lines, self.reason, self.below]

    def on_mount(self) -> None:
        """Begin with the first reason against what stands."""
        self._tell()

    @property
    def either(self) -> bool:
        """Whether it may be overruled as sharp and as soft: it is measured as neither."""
        return self._row.verdict not in {Verdict.SHARP, Verdict.SOFT}

    @property
    def own(self) -> bool:
        """Whether the reason is in one's own words."""
        return bool(self.reason.display)

    def action_ready(self, place: int) -> None:
        """Take this reason, and its verdict."""
        if place < len(self.ready):
            self.place, self.verdict = place, self.ready[place][0]
            self._close_words()

    def action_step(self, by: int) -> None:
        """The reason below, or above."""
        self.action_ready((self.place + by) % len(self.ready))

    def action_words(self) -> None:
        """Type a reason."""
        self.reason.display = True
        self.reason.focus()
        self._tell()

    def action_verdict(self) -> None:
        """Sharp or soft, for a reason in one's own words."""
        if self.own and self.either:
            self.verdict = Verdict.SOFT if self.verdict is Verdict.SHARP else Verdict.SHARP
            self._tell()

    def action_limit(self) -> None:
        """Have the session's limit follow, or not."""
        self.follows = not self.follows and self.would_be is not None
        self._tell()

    def action_take(self) -> None:
        """Have it stand."""
        reason = self.reason.value if self.own else self.ready[self.place][1]
        number, verdict, follows = self._row.id, self.verdict, self.follows
        limit = f", and the limit follows: {self.would_be:.1f} px" if follows else ""

        def written() -> str:
            overrules.overrule(self._folder, number, verdict, reason, feed=follows)
            return f"{self._row.name}: {verdict}, overruled{limit}"

        self._write(written)

    def action_take_back(self) -> None:
        """Let the measured verdict stand again."""
        if self._row.overruled:

            def written() -> str:
                overrules.take_back(self._folder, self._row.id)
                return f"{self._row.name}: {self._row.verdict}, as measured"

            self._write(written)

    def action_settings_limit(self) -> None:
        """Judge by the settings' limit again."""
        if self._leeway is not None:

            def written() -> str:
                overrules.settings_limit(self._folder)
                return "the limit is the settings' again"

            self._write(written)

    def action_back(self) -> None:
        """From one's own words to the list, and from there to the dashboard."""
        if self.own:
            self._close_words()
        else:
            self.dismiss()

    @on(Input.Submitted)
    def _submitted(self) -> None:
        # The keys work again, for verdict and limit; Enter then takes it.
        if self.reason.value.strip():
            self.set_focus(None)
            self._tell()
        else:
            self.warn("a reason is wanted, in a few words")

    @property
    def would_be(self) -> float | None:
        """What the limit would become for a frame as this one, px."""
        row = self._row
        if row.limit_px is None:
            return None
        lo, hi = row.edge_width_lo, row.edge_width_hi
        return overrules.would_be_px(self.verdict, lo, hi, self._limit_now)

    def _write(self, step: Callable[[], str]) -> None:
        if not self.busy:
            self.busy = True
            aside(self, step)

    def _close_words(self) -> None:
        self.set_focus(None)
        self.reason.display = False
        self.verdict = self.ready[self.place][0]
        self._tell()

    def _tell(self) -> None:
        self.warn("")
        strong, quiet = self.palette.strong(), self.palette.quiet()
        lines: list[Line] = [self._measured()]
        for place, (verdict, reason) in enumerate(self.ready):
            taken = not self.own and place == self.place
            lines.append(
                [
                    (" ▸" if taken else "  ", strong),
                    (f" {place + 1} ", strong),
                    (f"{SYMBOLS[verdict]} {verdict:<6}", self.palette.verdict(verdict)),
                    (f" {reason}", strong if taken else self.palette.text()),
                ]
            )
        own = [(" ▸" if self.own else "  ", strong), (" w ", strong)]
        if self.own:
            own.append(
                (f"{SYMBOLS[self.verdict]} {self.verdict}", self.palette.verdict(self.verdict))
            )
        own.append((" in your own words" + ":" * self.own, quiet if not self.own else strong))
        self.lines.tell([*lines, own])
        self.below.tell([self._limit()])
        self._show_keys()

    def _measured(self) -> Line:
        row = self._row
        told: Line = [
            (" measured ", self.palette.quiet()),
            (f"{SYMBOLS.get(row.verdict, '?')} {row.verdict}", self.palette.verdict(row.verdict)),
        ]
        if row.edge_width_px is not None:
            told.append((f"  {row.edge_width_px:.1f} px", self.palette.text()))
            if row.limit_px is not None:
                told.append((f", limit {row.limit_px:.1f}", self.palette.quiet()))
        if row.overruled:
            told.append((f"   stands as {row.overruled}", self.palette.strong()))
        return told

    def _limit(self) -> Line:
        px, strong, quiet = self.would_be, self.palette.strong(), self.palette.quiet()
        if px is None:
            return [("    nothing was measured that the limit could follow", quiet)]
        now = self._limit_now
        told = f"limit follows: {'yes' if self.follows else 'no'}"
        becomes = "becomes" if self.follows else "would become"
        more = f"; {now:.1f} px {becomes} {px:.1f} px from the next frame on"
        fed = f" (fed by {plain(self._leeway.frame)} now)" if self._leeway else ""
        room = max(0, self.app.size.width - 8)
        return [
            ("   l ", strong),
            (told, strong if self.follows else self.palette.text()),
            (shortened(more + fed, max(0, room - len(told))), quiet),
        ]

    def _show_keys(self) -> None:
        if self.reason.has_focus:
            self.keys.show([("Enter", "next"), ("Esc", "back")])
            return
        keys = [
            ("Enter", "take"),
            ("Esc", "back"),
            (f"1–{len(self.ready)} ↑ ↓", "reason"),
            ("w", "own words"),
        ]
        keys += [("v", "sharp or soft")] if self.own and self.either else []
        keys += [("l", "limit")] if self.would_be is not None else []
        keys += [("x", "as measured")] if self._row.overruled else []
        keys += [("u", "settings' limit")] if self._leeway is not None else []
        self.keys.show([*keys, ("q", "leave")])
