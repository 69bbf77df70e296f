"""The shot list in the record: setups in their order, put there and changed by whoever may.

A screen or a command changes it in one small transaction, as the watch itself does.
"""

from __future__ import annotations

import json
import math
import sqlite3
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tether.model import Setup
from tether.plain import plain
from tether.session.shot_list.cells import MOST_SHARP, why_no_title
from tether.session.shot_list.spelling import folded
from tether.session.writing import Writing, next_revision, once


class SetupError(Exception):
    """A setup that cannot be; the message says why."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A setup of the shot list by its number in the record; `origin` is what put it there."""

    id: int
    setup: Setup
    origin: str


def put_list(where: Path | Writing, setups: Iterable[Setup], origin: str) -> None:
    """Lay a list over the record's: its setups first, in its order.

    A setup that is there already takes on what the list says of it; others stay, behind.

    Raises
    ------
    SetupError
        A code is that of another setup already.
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        wanted = list(setups)
        there = {folded(one.setup.name): one for one in listed(opened)}
        names = {folded(one.name) for one in wanted}
        # One whose name the list does not hold, but whose code it does, has another name now.
        renamed = {folded(o.setup.code): o for n, o in there.items() if n not in names}
        # Codes may have changed places among them.
        opened.executemany(
            "UPDATE setups SET code = '', folded_code = NULL WHERE folded = ?",
            [(folded(one.name),) for one in wanted]
            + [(folded(one.setup.name),) for code, one in renamed.items() if code],
        )
        opened.execute("UPDATE setups SET place = place + 1000000")
        for place, setup in enumerate(wanted):
            before = there.get(folded(setup.name))
            if before is None and setup.code:
                before = renamed.get(folded(setup.code))
            if before is None:
                _insert(opened, setup, origin, place)
            else:
                _check(opened, setup, but=before.id)
                _update(opened, before.id, setup)
                opened.execute("UPDATE setups SET place = ? WHERE id = ?", (place, before.id))
        order = opened.execute("SELECT id FROM setups ORDER BY place, id").fetchall()
        opened.executemany(
            "UPDATE setups SET place = ? WHERE id = ?",
            [(place, number) for place, (number,) in enumerate(order)],
        )


def put_new(where: Path | Writing, setups: Iterable[Setup], origin: str) -> None:
    """Put setups at the list's end, but for those whose name or code is there already.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        for setup in setups:
            if named(opened, setup.name) is None:
                added(opened, setup, origin)


def add(where: Path | Writing, setup: Setup, origin: str) -> int:
    """Put a setup at the list's end.

    Returns
    -------
    int
        Its id.

    Raises
    ------
    SetupError
        Its name or code cannot be, or is another's.
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        return added(opened, setup, origin)


def added(opened: sqlite3.Connection, setup: Setup, origin: str) -> int:
    """Do the same within a transaction."""
    last = opened.execute("SELECT ifnull(max(place), -1) FROM setups").fetchone()[0]
    return _insert(opened, setup, origin, last + 1)


def change(where: Path | Writing, number: int, setup: Setup) -> None:
    """Have a setup say something else from now on; errors as for `add`."""
    with once(where) as opened:
        _check(opened, setup, but=number)
        _update(opened, number, setup)


def remove(where: Path | Writing, number: int) -> None:
    """Take a setup off the list.

    Raises
    ------
    SetupError
        It has frames, or is the one that frames belong to now.
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        frames = "SELECT 1 FROM frames WHERE setup = ? AND slate IS NULL LIMIT 1"
        if opened.execute(frames, (number,)).fetchone():
            raise SetupError("it has frames; give it 0 as the number of sharp frames instead")
        if current(opened) == number:
            raise SetupError("it is the setup of now; turn to another one first")
        for table in ("turns", "reshoots", "reference_frames"):
            opened.execute(f"DELETE FROM {table} WHERE setup = ?", (number,))
        opened.execute("UPDATE frames SET setup = NULL WHERE setup = ?", (number,))  # slates
        opened.execute("DELETE FROM setups WHERE id = ?", (number,))
        # Whoever keeps the list in memory looks for what is new alone: this says to read all.
        opened.execute(
            "INSERT OR REPLACE INTO state VALUES ('unlisted', ?)", (next_revision(opened),)
        )


def move(where: Path | Writing, number: int, by: int) -> None:
    """Move a setup so many places down the list, or up where negative."""
    with once(where) as opened:
        order = [one.id for one in listed(opened)]
        if number not in order:
            return
        at = order.index(number)
        order.insert(max(0, min(len(order) - 1, at + by)), order.pop(at))
        opened.executemany(
            "UPDATE setups SET place = ? WHERE id = ?", [(n, one) for n, one in enumerate(order)]
        )
        next_revision(opened)


def listed(opened: sqlite3.Connection, only: Collection[int] | None = None) -> list[Listed]:
    """Every setup in the list's order, or those of these ids."""
    which = "" if only is None else "WHERE id IN (SELECT value FROM json_each(?))"
    wanted = () if only is None else (json.dumps(list(only)),)
    rows = opened.execute(f"{_SELECT} {which} ORDER BY place, id", wanted).fetchall()
    return [_listed(row) for row in rows]


def named(opened: sqlite3.Connection, text: str) -> Listed | None:
    """The setup of this code, or else of this name."""
    for column in ("folded_code", "folded"):
        row = opened.execute(f"{_SELECT} WHERE {column} = ?", (folded(text),)).fetchone()
        if row is not None:
            return _listed(row)
    return None


def current(opened: sqlite3.Connection, when: float | None = None) -> int | None:
    """The setup that frames belong to from the last turn on, or those that came then."""
    found = opened.execute(
        "SELECT setup FROM turns WHERE at <= ? ORDER BY at DESC, id DESC LIMIT 1",
        (math.inf if when is None else when,),
    ).fetchone()
    return None if found is None else found[0]


def after(opened: sqlite3.Connection, number: int | None) -> Listed | None:
    """The setup that follows on the list, or the first where the one of this id is not on it."""
    place = opened.execute("SELECT place, id FROM setups WHERE id = ?", (number,)).fetchone()
    row = opened.execute(
        f"{_SELECT} WHERE (place, id) > (?, ?) ORDER BY place, id LIMIT 1", place or (-math.inf, 0)
    ).fetchone()
    return _listed(row) if row is not None else None


def changed_since(opened: sqlite3.Connection, revision: int) -> list[Listed]:
    """Setups that were put on the list or changed after this revision."""
    rows = opened.execute(f"{_SELECT} WHERE revision > ? ORDER BY revision", (revision,)).fetchall()
    return [_listed(row) for row in rows]


_SELECT = "SELECT id, name, code, needed, preset, area, notes, origin FROM setups"


def check_name(text: str, what: str = "name") -> None:
    """Raise `SetupError` where a text is no name."""
    why = why_no_title(text) if text.strip() else "is empty"
    if why:
        raise SetupError(f"its {what} {why}")


def _check(opened: sqlite3.Connection, setup: Setup, but: int | None = None) -> None:
    for what, text in (("name", setup.name), ("code", setup.code)):
        if text or what == "name":
            check_name(text, what)
        other = named(opened, text) if text else None
        if other is not None and other.id != but:
            raise SetupError(f"{what} {plain(text)!r} is that of {other.setup.name} already")
    if not 0 <= setup.needed <= MOST_SHARP:
        raise SetupError(f"it needs 0 to {MOST_SHARP} sharp frames, not {setup.needed}")


def _insert(opened: sqlite3.Connection, setup: Setup, origin: str, place: float) -> int:
    _check(opened, setup)
    values = {**_values(setup), "origin": origin, "place": place}
    return _id(
        opened.execute(
            f"INSERT INTO setups (revision, {', '.join(values)}) "
            f"VALUES (:revision, {', '.join(f':{name}' for name in values)}) RETURNING id",
            {**values, "revision": next_revision(opened)},
        )
    )


def _update(opened: sqlite3.Connection, number: int, setup: Setup) -> None:
    values = _values(setup)
    opened.execute(
        f"UPDATE setups SET revision = :revision, {', '.join(f'{n} = :{n}' for n in values)} "
        "WHERE id = :id",
        {**values, "revision": next_revision(opened), "id": number},
    )


def _values(setup: Setup) -> dict[str, object]:
    return {
        "name": setup.name.strip(),
        "folded": folded(setup.name),
        "code": setup.code.strip(),
        "folded_code": folded(setup.code) or None,
        "needed": setup.needed,
        "preset": setup.preset,
        "area": None if setup.area is None else json.dumps(setup.area),
        "notes": setup.notes,
    }


def _listed(row: tuple[Any, ...]) -> Listed:
    number, name, code, needed, preset, area, notes, origin = row
    where = tuple(json.loads(area)) if area else None
    return Listed(number, Setup(name, code, needed, preset, where, notes), origin)


def _id(cursor: sqlite3.Cursor) -> int:
    return int(cursor.fetchone()[0])
