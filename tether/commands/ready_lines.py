"""How a check is printed: lines for a person, or an object for a script."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Sequence
from typing import TextIO

from rich.console import Console
from rich.text import Text

from tether.commands.lines import encodable
from tether.dashboard.palette import COLOURS
from tether.plain import plain
from tether.verdict.checked import NOT_TOLD, Check, State

# State by word, shape and colour; shapes and colours are those of the verdicts.
_MARKS = {
    State.GOOD: ("●", "sharp"),
    State.LOOK: ("◐", "borderline"),
    State.WRONG: ("▲", "soft"),
    State.UNTOLD: ("○", "unjudged"),
}
_COLUMN = 11
_NARROWEST, _WIDEST = 40, 120


def for_script(checks: Sequence[Check], out: TextIO) -> None:
    """Print one JSON object a check; no key is left out, and what is empty is null."""
    for check in checks:
        told = {
            "name": check.name,
            "state": check.state.value,
            "found": check.found,
            "why": check.why,
            "change": check.change or None,
        }
        print(json.dumps(told), file=out, flush=True)


def for_person(checks: Sequence[Check], out: TextIO) -> None:
    """Print each check; what the camera does not tell shares a line, as nobody can act on it."""
    untold = [check.name for check in checks if check.found == NOT_TOLD]
    for check in checks:
        if check.found != NOT_TOLD:
            _one(check, out)
    if untold:
        _print(out, _mark(State.UNTOLD), Text(f"{', '.join(untold)}: {NOT_TOLD}."))


def _one(check: Check, out: TextIO) -> None:
    """Print state, name, what was found, and why it matters; and what to change, below.

    Where all is well, why goes before a second line would come: what to change must stay on the
    screen.
    """
    why = plain(check.why)
    told = Text.assemble((f"{check.name}: ", "bold"), f"{plain(check.found)}. ")
    whole = told.copy().append(f"{why[:1].upper()}{why[1:]}.", "dim")
    if check.state is not State.GOOD or whole.cell_len <= _room():
        told = whole
    _print(out, _mark(check.state), told)
    if check.to_change and check.change:
        _print(out, Text(), Text(f"→ {plain(check.change)}", "bold"))


def summary(checks: Sequence[Check], out: TextIO) -> None:
    """Print the last line: what to change, so that nothing above has to be found again."""
    wrong = [check for check in checks if check.to_change]
    if not wrong:
        _print(out, _mark(State.GOOD), Text("nothing to change", "bold"))
        return
    worst = State.WRONG if any(one.state is State.WRONG for one in wrong) else State.LOOK
    _print(out, _mark(worst), Text(f"change: {', '.join(one.name for one in wrong)}", "bold"))


def _mark(state: State) -> Text:
    shape, verdict = _MARKS[state]
    word = state.value.upper() if state is State.WRONG else state.value
    return Text(f"{shape} {word}", style=f"bold {COLOURS[verdict]}")


def _print(out: TextIO, mark: Text, told: Text) -> None:
    """Print a mark and what it marks, wrapped beside it."""
    console = Console(
        file=out,
        width=_COLUMN + _room() + 1,
        highlight=False,
        no_color=bool(os.environ.get("NO_COLOR")),
    )
    for at, line in enumerate(told.wrap(console, _room())):
        begin = mark.copy() if at == 0 else Text()
        begin.align("left", _COLUMN)
        line.rstrip()
        begin.append_text(line)
        begin.plain = encodable(begin.plain, out)
        console.print(begin, soft_wrap=True)
    out.flush()


def _room() -> int:
    """Columns beside the mark."""
    columns = min(_WIDEST, max(_NARROWEST, shutil.get_terminal_size().columns))
    return columns - _COLUMN - 1
