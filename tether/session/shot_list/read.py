"""A shot list's file, from its bytes to its setups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tether.model import Setup
from tether.session.shot_list import cells, from_csv, from_toml
from tether.session.shot_list.alike import refuse_alike
from tether.session.shot_list.problems import Problems
from tether.session.shot_list.text import read_text

_READERS = {
    ".toml": from_toml.rows,
    ".csv": from_csv.rows,
    ".tsv": from_csv.rows,
    ".txt": from_csv.rows,
}


@dataclass(frozen=True, slots=True)
class ShotList:
    """Setups in the order of the file; `notes` say in words what of it was left aside."""

    setups: tuple[Setup, ...]
    notes: tuple[str, ...] = ()


def read(path: Path, presets: Sequence[str]) -> ShotList:
    """Read a shot list from a TOML file (`[[setup]]`) or a CSV file (`,`, `;` or tab).

    Parameters
    ----------
    path
        The file; what its name ends with says which of the two it is.
    presets
        Names of the presets that a setup may ask for.

    Raises
    ------
    ShotListError
        It cannot be used: all that is wrong with it, a line each.
    """
    problems = Problems(path)
    text = read_text(path, problems)
    reader = _READERS.get(path.suffix.casefold())
    if reader is None:
        raise problems.refusal("expected a file whose name ends with .toml or .csv")
    rows, notes = reader(text, problems)
    setups = []
    for row in rows:
        setup = cells.setup(row, presets, partial(problems.add, row.where))
        if setup is not None:
            setups.append((row.where, setup))
    refuse_alike(setups, problems)
    problems.check()
    if not setups:
        aside = f" ({'; '.join(notes)})" if notes else ""
        raise problems.refusal(f"no setup; expected at least one with a name{aside}")
    return ShotList(tuple(setup for _, setup in setups), tuple(notes))
