"""The bell rings for what is in danger, and once."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.dashboard.looking import eventually
from tests.dashboard.studio import SETUPS, of, raise_reshoots, shot_list
from tether.dashboard.app import Dashboard
from tether.model import Cause, Verdict
from tether.session import turns
from tether.session.record import Record


@pytest.fixture
def rung(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    heard: list[int] = []
    monkeypatch.setattr(Dashboard, "bell", lambda self: heard.append(1))
    return heard


def soft(number: int, setup: int | None):  # type: ignore[no-untyped-def]
    now = datetime.now(UTC)
    return of(number, setup, Verdict.SOFT, now, width=5.0, cause=Cause.DEFOCUS)


@pytest.mark.parametrize("in_danger_only", [True, False])
async def test_a_soft_frame_of_a_covered_setup_rings_only_if_asked(
    folder: Path, record: Record, rung: list[int], in_danger_only: bool
) -> None:
    record.open()
    kiln = shot_list(folder)["Kiln, door open"]
    record.add(of(1, kiln, Verdict.SHARP, datetime.now(UTC)))
    app = Dashboard(folder, in_danger_only=in_danger_only)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: app.shots.covered)
        record.add(soft(2, kiln))
        await eventually(lambda: app.frames.unseen)
        record.add(of(3, kiln, Verdict.SHARP, datetime.now(UTC)))
        await eventually(lambda: app.shots.progress.setups[2].has == 1 and len(app.frames.rows) > 2)
        assert len(rung) == (0 if in_danger_only else 1)
        record.add(soft(4, None))  # of no setup: nobody knows that it is not needed
        await eventually(lambda: len(rung) == (1 if in_danger_only else 2))


async def test_a_soft_frame_of_an_uncovered_setup_rings(
    folder: Path, record: Record, rung: list[int]
) -> None:
    record.open()
    maker = shot_list(folder)["The maker"]
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: app.shots.progress.setups)
        record.add(soft(1, maker))
        await eventually(lambda: rung)
        assert len(rung) == 1


async def test_a_reshoot_rings_once_when_it_is_raised_and_never_for_history(
    folder: Path, record: Record, rung: list[int]
) -> None:
    record.open()
    ids = shot_list(folder)
    began = time.time()
    for name, ago_s in ((SETUPS[0].name, 120), ("The maker", 60)):
        turns.turn(folder, ids[name], "screen", began - ago_s)
    raise_reshoots(folder)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: len(app.shots.progress.reshoots) == 1)
        assert not rung
        turns.turn(folder, ids["Kiln, door open"], "screen")
        raise_reshoots(folder)
        await eventually(lambda: len(app.shots.progress.reshoots) == 2)
        await eventually(lambda: rung)
        record.add(of(1, ids["Kiln, door open"], Verdict.BORDERLINE, datetime.now(UTC)))
        await eventually(lambda: app.frames.rows)
        assert len(rung) == 1
