"""Rows of a TOML file: a table `[[setup]]` each."""

from __future__ import annotations

import re
import tomllib

from tether.plain import plain
from tether.session.shot_list.problems import Problems, shown
from tether.session.shot_list.row import COLUMNS, MOST_ROWS, Row, column

LONGEST_LINE = 2_000

# A key of many parts takes the square of their number to read: a file of them, minutes.
_DEEP = re.compile(r"""(?<![\w"'-])(?:[\w"'-]+[ \t]*\.[ \t]*){20}""")

_HEADER = re.compile(r"""^[ \t]*\[\[[ \t]*(["']?)setup\1[ \t]*\]\]""")


def rows(text: str, problems: Problems) -> tuple[list[Row], list[str]]:
    """Return the rows, and notes on what was left aside.

    Raises
    ------
    ShotListError
        It is not TOML, or holds no `[[setup]]`.
    """
    lines = text.split("\n")
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            raise problems.refusal(f"over {LONGEST_LINE:,} characters", f"line {number}")
        if _DEEP.search(line):
            raise problems.refusal("a key of over 20 parts", f"line {number}")
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise problems.refusal(f"not a TOML file: {_short(str(problem))}") from None
    except (RecursionError, ValueError):
        raise problems.refusal("not a TOML file of setups: a value too deep or too large") from None
    setups = told.get("setup", [])
    if not isinstance(setups, list) or not all(isinstance(one, dict) for one in setups):
        raise problems.refusal("'setup' is not a list of tables; expected [[setup]] for each")
    if len(setups) > MOST_ROWS:
        raise problems.refusal(f"more than {MOST_ROWS:,} setups")
    heads = [number for number, line in enumerate(lines, 1) if _HEADER.match(line)]
    if len(heads) == len(setups):
        places = [f"the setup on line {number}" for number in heads]
    else:  # written in another way, or in a text of several lines as well
        places = [f"setup {number}" for number in range(1, len(setups) + 1)]
    notes = [f"{shown(name)} is left aside" for name in told if name != "setup"]
    unknown: dict[str, None] = {}
    found = []
    for where, setup in zip(places, setups, strict=True):
        cells: dict[str, object] = {}
        for key, value in setup.items():
            name = column(key)
            if name not in COLUMNS:
                unknown[key] = None
            elif name in cells:
                problems.add(where, f"more than one '{name}'")
            else:
                cells[name] = value
        found.append(Row(where, cells))
    return found, notes + [f"{shown(key)} is left aside" for key in unknown]


def _short(said: str) -> str:
    # Some sentences hold a whole key; where it is stands at their end.
    return plain(said if len(said) <= 120 else f"{said[:60]}…{said[-40:]}")
