"""Rows of a CSV file: RFC 4180, or with semicolons or tabs, as spreadsheets write it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from itertools import islice

from tether.session.shot_list.problems import Problems, shown
from tether.session.shot_list.row import COLUMNS, MOST_ROWS, Row, column

_SEPARATORS = (",", ";", "\t")
# Some spreadsheets name the separator on a line before all others.
_NAMED = re.compile(r'"?sep=([,;\t])"?$')


def rows(text: str, problems: Problems) -> tuple[list[Row], list[str]]:
    """Return the rows, and notes on what was left aside.

    A row is counted as a spreadsheet does: the header is row 1, and a cell may hold several lines.

    Raises
    ------
    ShotListError
        The header does not tell the columns, or the quotes go wrong.
    """
    separator, skipped = _separator(text)
    records = islice(_records(text, separator, problems), skipped, None)
    at, header = next(records, (1, []))
    columns = [column(cell) for cell in header]
    _check_header(columns, f"row {at}", problems)
    untitled = [number for number, title in enumerate(columns) if not title]
    found: list[Row] = []
    lost: set[int] = set()
    for number, cells in records:
        if len(found) == MOST_ROWS:
            problems.add("", f"more than {MOST_ROWS:,} rows")
            break
        if len(cells) != len(columns):
            problems.add(f"row {number}", f"{_count(cells)}, where the header has {len(columns)}")
            continue
        told = dict(zip(columns, cells, strict=True))
        lost.update(at for at in untitled if cells[at])
        known: dict[str, object] = {name: told[name] for name in COLUMNS if told.get(name)}
        found.append(Row(f"row {number}", known, formulas=True))
    aside = [f"column {shown(title)}" for title in header if title and column(title) not in COLUMNS]
    aside += [f"column {number + 1}, which has no title," for number in sorted(lost)]
    return found, [f"{one} is left aside" for one in aside]


def _separator(text: str) -> tuple[str, int]:
    """The separator, and how many records before the header only name it."""
    first = text.lstrip("\r\n").partition("\n")[0].strip("\r")
    if named := _NAMED.match(first):
        return named[1], 1

    def known(separator: str) -> int:
        try:
            header = next(csv.reader(io.StringIO(first), delimiter=separator))
        except (csv.Error, StopIteration):
            return 0
        return len({column(cell) for cell in header} & set(COLUMNS))

    return max(_SEPARATORS, key=known), 0


def _records(text: str, separator: str, problems: Problems) -> Iterator[tuple[int, list[str]]]:
    """Yield each record that holds anything, stripped, with its number."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 0
    while True:
        number += 1
        try:
            record = next(reader, None)
        except csv.Error as problem:
            told = str(problem)
            why = f"quotes that do not match ({told})" if "limit" not in told else told
            raise problems.refusal(why, f"row {number}") from None
        if record is None:
            return
        stripped = [cell.strip() for cell in record]
        if any(stripped):
            yield number, stripped


def _check_header(columns: list[str], where: str, problems: Problems) -> None:
    if "name" not in columns:
        raise problems.refusal(
            f"no column 'name'; expected titles in the first row, out of {', '.join(COLUMNS)}, "
            f"separated by commas, semicolons or tabs; found {shown(', '.join(columns))}",
            where,
        )
    double = [name for name in COLUMNS if columns.count(name) > 1]
    if double:
        raise problems.refusal(f"more than one column '{double[0]}'", where)


def _count(cells: list[str]) -> str:
    return "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
