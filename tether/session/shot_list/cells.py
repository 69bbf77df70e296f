"""A row's cells, each checked for what it may hold, as a setup."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from tether.model import Setup
from tether.plain import plain
from tether.session.shot_list.problems import shown
from tether.session.shot_list.row import Row
from tether.session.shot_list.spelling import folded
from tether.settings import why_no_area

LONGEST_NAME = 100
LONGEST_NOTES = 1_000
MOST_SHARP = 999
NEXT = "next"
"""The name that no setup may have: it asks for the one that follows on the list."""

_PX, _SHARE = re.compile(r"[0-9]{1,6}"), re.compile(r"[0-9]{0,6}\.[0-9]{1,12}|[0-9]{1,6}\.")
_LARGEST_PX = 999_999
# What spreadsheets make of a long number, and of a formula that fails.
_ROUNDED = re.compile(r"[0-9]([.,][0-9]+)?E\+[0-9]+", re.IGNORECASE)
_FAILED = re.compile(r"#(REF!|NAME\?|VALUE!|N/A|DIV/0!|NULL!|NUM!)", re.IGNORECASE)


def setup(row: Row, presets: Sequence[str], say: Callable[[str], None]) -> Setup | None:
    """Return the row as a setup; None if it has no name.

    Parameters
    ----------
    row
        The row.
    presets
        Names of the presets that there are.
    say
        Is told each problem, and what was expected instead.
    """
    cells = dict(row.cells)
    if row.formulas:
        for column in [column for column, text in cells.items() if _formula(column, str(text))]:
            text = cells.pop(column)
            say(f"{column} {shown(text)} is a formula; export values, not formulas")
            if column == "name":
                return None
    name = _title("name", cells.get("name", ""), say)
    if not name:
        if cells.get("name", "") == "":
            say("no name; expected the setup's name")
        return None
    code = _title("code", cells.get("code", ""), say)
    if row.formulas and _ROUNDED.fullmatch(code):
        say(f"code {shown(code)} is a number that the spreadsheet rounded; make the column text")
    return Setup(
        name=name,
        code=code,
        needed=_sharp(cells.get("sharp"), say),
        preset=_preset(cells.get("preset", ""), presets, say),
        area=_area(cells.get("area"), say),
        notes=_notes(cells.get("notes", ""), say),
    )


def why_no_title(text: str) -> str:
    """Say why a text cannot be a setup's name or code; empty if it can, or is empty."""
    if len(text) > LONGEST_NAME:
        return f"is too long; expected at most {LONGEST_NAME} characters, not {len(text):,}"
    if plain(text) != text:
        return "holds control characters or others that do not show; expected text on one line"
    if folded(text) == NEXT:
        return "asks for the setup that follows; expected another word"
    return ""


def _formula(column: str, text: str) -> bool:
    marks = ("=", "+", "@") if column in {"name", "code"} else ("=",)
    return text.startswith(marks) or _FAILED.fullmatch(text) is not None


def _title(column: str, told: object, say: Callable[[str], None]) -> str:
    text = _text(column, told, say)
    if why := why_no_title(text):
        say(f"{column} {shown(text)} {why}")
    return text


def _text(column: str, told: object, say: Callable[[str], None]) -> str:
    if isinstance(told, str):
        return told.strip()
    say(f"{column} is {shown(told)}; expected text in quotes")
    return ""


def _sharp(told: object, say: Callable[[str], None]) -> int:
    if told is None or told == "":
        return 1
    number = told
    if isinstance(told, str) and re.fullmatch(r"[0-9]{1,9}", told):
        number = int(told)
    if isinstance(number, int) and not isinstance(number, bool) and 0 <= number <= MOST_SHARP:
        return number
    say(f"sharp is {shown(told)}; expected a whole number from 0 to {MOST_SHARP}")
    return 1


def _preset(told: object, presets: Sequence[str], say: Callable[[str], None]) -> str | None:
    text = _text("preset", told, say)
    if not text:
        return None
    known = {folded(preset): preset for preset in presets}
    if folded(text) not in known:
        say(f"preset {shown(text)} is unknown; expected one of {', '.join(presets)}")
    return known.get(folded(text))


def _area(told: object, say: Callable[[str], None]) -> tuple[int | float, ...] | None:
    if told is None or told == "":
        return None
    numbers = _numbers(told)
    too_large = any(isinstance(one, int) and one > _LARGEST_PX for one in numbers or ())
    why = "it is not made of numbers" if numbers is None else why_no_area(numbers)
    if not why and too_large:
        why = f"over {_LARGEST_PX:,} px"
    if not why and numbers is not None:
        return numbers
    say(
        f"area {shown(told)}: {why}; expected x,y,width,height in whole px, as in "
        "2800,1500,400,400, or in fractions of the frame, as in 0.4,0.35,0.1,0.12"
    )
    return None


def _numbers(told: object) -> tuple[int | float, ...] | None:
    if isinstance(told, list):
        fit = all(isinstance(one, int | float) and not isinstance(one, bool) for one in told)
        return tuple(told) if fit else None
    if not isinstance(told, str):
        return None
    parts = [part.strip() for part in told.split(",")]
    if not all(_PX.fullmatch(part) or _SHARE.fullmatch(part) for part in parts):
        return None
    return tuple(float(part) if "." in part else int(part) for part in parts)


def _notes(told: object, say: Callable[[str], None]) -> str:
    text = plain(" ".join(_text("notes", told, say).split()))
    if len(text) > LONGEST_NOTES:
        say(f"notes are too long; expected at most {LONGEST_NOTES:,} characters, not {len(text):,}")
    return text
