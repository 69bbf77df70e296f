"""What each setup has: tries with a sharp frame among them, as `tries` counts them."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from dataclasses import dataclass

from tether.model import Setup
from tether.session.setups import listed
from tether.session.tries import COUNTED, told_burst_s

_KEPT_SINCE = 4  # the record's version


@dataclass(frozen=True, slots=True)
class Coverage:
    """A setup of the shot list, and the number of its tries, and of those that are sharp."""

    id: int
    setup: Setup
    has: int
    tries: int

    @property
    def covered(self) -> bool:
        """Whether it has the sharp frames that it needs."""
        return self.has >= self.setup.needed


def coverage(opened: sqlite3.Connection, only: Collection[int] | None = None) -> list[Coverage]:
    """What every setup has, in the list's order, or those of `only` these ids."""
    which = "" if only is None else "WHERE setup IN (SELECT value FROM json_each(:only))"
    wanted = {"only": json.dumps(list(only or ()))}
    rows = opened.execute(f"SELECT setup, has, tries FROM {_counts(opened)} {which}", wanted)
    has = {setup: (sharp, tries) for setup, sharp, tries in rows}
    found = listed(opened, only)
    return [Coverage(one.id, one.setup, *has.get(one.id, (0, 0))) for one in found]


def _counts(opened: sqlite3.Connection) -> str:
    """Where they are kept; a record of an older program is counted through."""
    version = opened.execute("PRAGMA user_version").fetchone()[0]
    if version >= _KEPT_SINCE:
        return "counts"
    counted = COUNTED.replace(":burst_s", str(told_burst_s(opened)))
    return f"(SELECT setup, sum(sharp > 0) AS has, count(*) AS tries FROM ({counted}) GROUP BY 1)"
