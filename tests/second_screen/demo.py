"""A session at the pottery to look at: a shot list, frames of it, and a setup left too early."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from tests.dashboard.demo import crop, entry
from tether.model import Cause, Setup, Verdict
from tether.session import setups, turns, writing
from tether.session.coverage import coverage
from tether.session.record import Record, WatchState
from tether.session.reshoots import reconcile

SETUPS = (
    Setup("Bowl, celadon, whole", needed=3),
    Setup("Bowl, celadon, rim", needed=2, notes="window light from the left"),
    Setup("Teapot, lid and spout", needed=2),
    Setup("Maker at the wheel", needed=4, preset="portrait", notes="hands, then face"),
    Setup("Kiln shelf", needed=0),
)


def filled(folder: Path, record: Record, last: Verdict = Verdict.SOFT) -> None:
    """Put the whole session into the record, its last frame with such a verdict."""
    record.open()  # makes it
    setups.put_list(folder, SETUPS, "list")
    with writing.once(folder) as opened:
        ids = [one.id for one in setups.listed(opened)]
    now = time.time()
    number = 0
    for place, verdicts in enumerate(("sss", "sx", "ss", "s")):
        turns.turn(folder, ids[place], "list", now - 600 + 100 * place)
        for verdict in verdicts:
            number += 1
            add(
                record,
                number,
                Verdict.SHARP if verdict == "s" else Verdict.SOFT,
                ids[place],
                now - 590 + 100 * place + 10 * number,
            )
    add(record, number + 1, last, ids[3], now)
    settle(folder)
    record.tell(WatchState(waiting=0))


def settle(folder: Path) -> None:
    """Raise and close reshoots, as the watch does after each frame."""
    with writing.once(folder) as opened:
        reconcile(opened, turns.read(opened), coverage(opened))
        writing.next_revision(opened)


def add(
    record: Record, number: int, verdict: Verdict, setup: int | None, arrived: float | None = None
) -> None:
    """Put a frame into the record as the watch does."""
    widths = {Verdict.SHARP: 2.4, Verdict.BORDERLINE: 3.6, Verdict.SOFT: 5.8}
    cause = {Verdict.SOFT: Cause.DEFOCUS, Verdict.UNJUDGED: Cause.NO_DETAIL}.get(verdict)
    width = widths.get(verdict)
    made = entry(
        number,
        verdict,
        width=width,
        cause=cause,
        name=f"maker-{number:04}",
        arrived=datetime.fromtimestamp(
            arrived if arrived is not None else time.time()
        ).astimezone(),
        crop=crop(width or 2.0),
    )
    record.add(replace(made, setup=setup))
