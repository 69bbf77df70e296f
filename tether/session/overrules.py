"""The photographer's word against a verdict: the record keeps both.

What a session judges by changes only where the photographer asks for that: then the limit from
there on is the one by which this very frame would have got the verdict that it ought to have: the
upper end of its interval is within it, or the lower end beyond it.
"""

from __future__ import annotations

import json
import sqlite3
import time
from dataclasses import asdict
from pathlib import Path

from tether.model import Verdict
from tether.plain import plain
from tether.session import tries
from tether.session.frame_evidence import FrameEvidence
from tether.session.writing import Writing, next_revision, once
from tether.verdict.limit import Leeway

LONGEST = 200
"""Characters of a reason."""

_BEYOND = 0.999  # soft is beyond the limit, not at it


class OverruleError(Exception):
    """A word that cannot be taken; the message says why."""


def overrule(
    where: Path | Writing, number: int, verdict: Verdict, reason: str, *, feed: bool
) -> None:
    """Have a verdict of the photographer's stand before the one of the frame with this id.

    Parameters
    ----------
    where
        The session's folder, or the writing end of its record.
    number
        The frame's id.
    verdict
        Sharp or soft; borderline and unjudged say nothing that a photographer means.
    reason
        Why, in a few words.
    feed
        Whether the session's limit follows.

    Raises
    ------
    OverruleError
        There is no reason, or nothing that a limit can be fed with.
    RecordError
        The record cannot be written.
    """
    if verdict not in {Verdict.SHARP, Verdict.SOFT}:
        raise OverruleError("a frame is overruled as sharp or as soft")
    said = plain(" ".join(reason.split()))[:LONGEST]
    if not said:
        raise OverruleError("a reason is wanted, in a few words")
    with once(where) as opened:
        row = opened.execute(
            "SELECT name, verdict, edge_width_lo, edge_width_hi, limit_px, evidence "
            "FROM frames WHERE id = ?",
            (number,),
        ).fetchone()
        if row is None:
            raise OverruleError("that frame is not in the record any more")
        name, measured, lo, hi, limit_px, evidence = row
        if measured == verdict:
            raise OverruleError(f"it is measured {verdict} already")
        if feed:
            _feed(opened, verdict, name, (lo, hi), limit_px, evidence)
        revision, before = next_revision(opened), tries.position(opened, number)
        opened.execute(
            "INSERT OR REPLACE INTO overrules VALUES (?, ?, ?, ?, ?)",
            (number, revision, verdict.value, said, time.time()),
        )
        opened.execute("UPDATE frames SET revision = ? WHERE id = ?", (revision, number))
        tries.moved(opened, before, tries.position(opened, number))


def take_back(where: Path | Writing, number: int) -> None:
    """Let the measured verdict stand again; a limit that was fed stays as it is.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        before = tries.position(opened, number)
        opened.execute("DELETE FROM overrules WHERE frame = ?", (number,))
        tries.moved(opened, before, tries.position(opened, number))
        opened.execute(
            "UPDATE frames SET revision = ? WHERE id = ?", (next_revision(opened), number)
        )


def settings_limit(where: Path | Writing) -> None:
    """Judge frames by the settings' limit again.

    Raises
    ------
    RecordError
        The record cannot be written.
    """
    with once(where) as opened:
        opened.execute("DELETE FROM state WHERE key = 'leeway'")
        next_revision(opened)


def would_be_px(
    verdict: Verdict, lo_px: float | None, hi_px: float | None, now_px: float
) -> float | None:
    """The limit, px, by which a frame with this interval would have got the verdict.

    None where nothing was measured that it could follow. From `now_px`, where it is, it only grows
    to let a frame in, and only shrinks to keep one out.
    """
    if lo_px is None or hi_px is None:
        return None
    return max(now_px, hi_px) if verdict is Verdict.SHARP else min(now_px, lo_px * _BEYOND)


def leeway(opened: sqlite3.Connection) -> Leeway | None:
    """How the session's limit was fed, if it was."""
    found = opened.execute("SELECT value FROM state WHERE key = 'leeway'").fetchone()
    return Leeway(**json.loads(found[0])) if found else None


def _feed(
    opened: sqlite3.Connection,
    verdict: Verdict,
    name: str,
    interval: tuple[float | None, float | None],
    limit_px: float | None,
    evidence: str | None,
) -> None:
    if limit_px is None:
        raise OverruleError("it has no limit that could follow")
    try:
        own = limit_px / FrameEvidence.from_json(evidence).limit_times
    except ValueError as problem:
        raise OverruleError(f"its limit cannot be followed: {problem}") from problem
    before = leeway(opened)
    wanted = would_be_px(verdict, *interval, own * (before.times if before else 1.0))
    if wanted is None:
        raise OverruleError("it has no edge width that the limit could follow")
    opened.execute(
        "INSERT OR REPLACE INTO state VALUES ('leeway', ?)",
        (json.dumps(asdict(Leeway(wanted / own, name))),),
    )
