"""A session with a shot list: a ceramics studio, four setups, one of them left uncovered."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from tests.dashboard.demo import BEGAN, crop, entry
from tether.model import Cause, Setup, Verdict
from tether.session import reshoots, setups, turns
from tether.session.coverage import coverage
from tether.session.record import Entry, Record
from tether.session.writing import once

SETUPS = (
    Setup("Bowl, glaze blue", "BOWL-01", 2, "product", (0.4, 0.35, 0.1, 0.12), "rim and signature"),
    Setup("The maker", "", 3, "portrait", None, "hands in the clay; look up once"),
    Setup("Kiln, door open", "KILN", 1),
    Setup("Stamp on the foot", "", 0, "product", None, "any number, from above"),
)


def shot_list(folder: Path) -> dict[str, int]:
    """Put the setups on the list; returns their ids by name. The record must be there."""
    return {one.name: setups.add(folder, one, "list") for one in SETUPS}


def of(number: int, setup: int | None, verdict: Verdict, at: datetime, **more: object) -> Entry:
    """A frame of a setup; `slate` is the code that it shows."""
    slate = str(more.pop("slate", ""))
    made = entry(number, verdict, arrived=at, **more)  # type: ignore[arg-type]
    judgement = replace(made.judgement, slate=slate, setup=None)
    return replace(made, judgement=judgement, setup=setup)


def session(folder: Path, record: Record) -> dict[str, int]:
    """Bowls, then the maker, who is left with too few, then the kiln."""
    record.open()
    ids = shot_list(folder)
    bowl, maker, kiln = (ids[one.name] for one in SETUPS[:3])
    plan: list[tuple[int, Verdict, float, str]] = [
        (bowl, Verdict.UNJUDGED, 0, "BOWL-01"),
        *((bowl, *one, "") for one in ((Verdict.SHARP, 2.4), (Verdict.SOFT, 5.2))),
        *((bowl, *one, "") for one in ((Verdict.SHARP, 2.6), (Verdict.BORDERLINE, 3.4))),
        (maker, Verdict.UNJUDGED, 0, "The maker"),
        *((maker, *one, "") for one in ((Verdict.SHARP, 2.9), (Verdict.SOFT, 6.1))),
        (maker, Verdict.SOFT, 4.9, ""),
        (kiln, Verdict.UNJUDGED, 0, "KILN"),
        (kiln, Verdict.BORDERLINE, 3.6, ""),
    ]
    last = None
    for number, (setup, verdict, width, slate) in enumerate(plan, 1):
        at = BEGAN + number * timedelta(seconds=9)
        if setup != last:
            turns.turn(folder, setup, "slate", at.timestamp())
            last = setup
        cause = Cause.DEFOCUS if verdict is Verdict.SOFT else None
        record.add(
            of(
                *(number, setup, verdict, at),
                width=width or None,
                cause=cause,
                slate=slate,
                crop=b"" if slate else crop(width),
                name=f"slate-{number:04}" if slate else None,
            )
        )
    raise_reshoots(folder)
    return ids


def raise_reshoots(folder: Path) -> None:
    """Do what a watch does whenever something has changed."""
    with once(folder) as opened:
        reshoots.reconcile(opened, turns.read(opened), coverage(opened))
