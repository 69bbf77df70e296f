"""What would make the next frame soft, before it is taken."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from textual.strip import Strip

from tether.dashboard.palette import SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.text import line, shortened
from tether.plain import plain
from tether.session.record import WatchState
from tether.verdict.checked import State

# The verdict that such a setting leads to lends its shape and colour.
_LEADS_TO = {State.WRONG.value: "soft", State.LOOK.value: "borderline"}
_WORDS = {"soft": "next shot soft", "borderline": "next shot"}


class BeforeLine(Panel):
    """One line, there as long as something in it holds."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(palette)
        self.concerns: Sequence[tuple[str, str]] = ()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the line."""
        if not self.concerns:
            return self.blank(width)
        state, _ = self.concerns[0]
        leads_to = _LEADS_TO.get(state, "borderline")
        told = f" {SYMBOLS[leads_to]} {_WORDS[leads_to]}: {_fitting(self.concerns, width - 19)}"
        style = self.palette.verdict(leads_to)
        return line([(shortened(told, width), style)], width, self.palette.text())


def concerns_of(state: WatchState) -> tuple[tuple[str, str], ...]:
    """What the watch says of the next shot, the surest first; a drift before what is less sure."""
    wrong = tuple(one for one in state.before if one[0] == State.WRONG.value)
    look = tuple(one for one in state.before if one[0] != State.WRONG.value)
    drift = state.drift[:1].lower() + state.drift[1:]
    return (*wrong, *([(State.LOOK.value, drift)] if drift else []), *look)


def _fitting(concerns: Sequence[tuple[str, str]], columns: int) -> str:
    """As many as fit, the first one at least, and how many more there are."""
    words = [plain(text) for _, text in concerns]
    for shown in range(len(words), 0, -1):
        more = f" (and {len(words) - shown} more)" if shown < len(words) else ""
        whole = "; ".join(words[:shown]) + more
        if cell_len(whole) <= columns:
            return whole
    more = f" (+{len(words) - 1})" if len(words) > 1 else ""
    return shortened(words[0], columns - len(more)) + more
