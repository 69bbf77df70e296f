"""What each setup has: tries with a sharp frame among them.

Frames that follow each other within a settable time, by the camera's own clock where the files
tell it, are one try: of a burst one sharp frame is wanted, not ten. What the photographer said
against a verdict comes before it.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from dataclasses import dataclass

from tether.model import Setup
from tether.session.setups import listed

BURST_S = 1.0


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


def told_burst_s(opened: sqlite3.Connection) -> float:
    """What the last watch counted as a burst, in s."""
    found = opened.execute("SELECT value FROM state WHERE key = 'watch'").fetchone()
    return float(json.loads(found[0]).get("burst_s", BURST_S)) if found else BURST_S


_TRIES = """
WITH taken AS (
    SELECT f.id, f.setup, f.camera, f.taken IS NULL AS untold, coalesce(f.taken, f.arrived) AS at,
           coalesce(o.verdict, f.verdict) = 'sharp' AS sharp
    FROM frames AS f LEFT JOIN overrules AS o ON o.frame = f.id
    WHERE f.slate IS NULL AND f.setup {which}
), begun AS (
    SELECT *, at - lag(at) OVER series <= :burst_s AS goes_on FROM taken
    WINDOW series AS (PARTITION BY setup, camera, untold ORDER BY at, id)
), numbered AS (
    SELECT *, sum(NOT ifnull(goes_on, 0)) OVER series AS try FROM begun
    WINDOW series AS (PARTITION BY setup, camera, untold ORDER BY at, id)
), tried AS (
    SELECT setup, max(sharp) AS sharp FROM numbered GROUP BY setup, camera, untold, try
)
SELECT setup, sum(sharp), count(*) FROM tried GROUP BY setup
"""


def coverage(
    opened: sqlite3.Connection, burst_s: float = BURST_S, only: Collection[int] | None = None
) -> list[Coverage]:
    """Count for every setup in the list's order, or for `only` those of these ids.

    Frames not more than `burst_s` after the one before are of its try.
    """
    which = "IS NOT NULL" if only is None else "IN (SELECT value FROM json_each(:only))"
    wanted = {"burst_s": burst_s, "only": json.dumps(list(only or ()))}
    rows = opened.execute(_TRIES.format(which=which), wanted)
    has = {setup: (sharp, tries) for setup, sharp, tries in rows}
    found = listed(opened, only)
    return [Coverage(one.id, one.setup, *has.get(one.id, (0, 0))) for one in found]
