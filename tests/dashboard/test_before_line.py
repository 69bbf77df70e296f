"""The line that tells what would make the next frame soft."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.dashboard.demo import entry
from tests.dashboard.looking import eventually, keys, lines, screen
from tether.dashboard.app import Dashboard
from tether.session.lock import Lock
from tether.session.record import Record, WatchState

SLOW = ("wrong", "1/60 s by hand at 85 mm: take 1/200 s or shorter, or a tripod")
HUNTING = ("look", "continuous autofocus (AF-C) on a tripod: set single autofocus")


@pytest.mark.parametrize("size", [(80, 24), (160, 48)])
async def test_it_comes_below_the_state_and_goes_when_it_no_longer_holds(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    record.add(entry(1))
    app = Dashboard(folder)
    with Lock(folder):
        async with app.run_test(size=size):
            await eventually(lambda: "bowl-0001" in screen(app))
            assert "next shot" not in screen(app)
            record.tell(WatchState(before=(SLOW,)))
            await eventually(lambda: f"▲ next shot soft: {SLOW[1]}" in lines(app)[1])
            assert max(map(len, lines(app))) == size[0]
            assert "q leave" in keys(app)
            record.tell(WatchState(before=(HUNTING,)))
            await eventually(lambda: f"◐ next shot: {HUNTING[1]}" in lines(app)[1])
            record.tell(WatchState())
            await eventually(lambda: "next shot" not in screen(app))
            assert "q leave" in keys(app)


async def test_of_several_those_that_fit_are_told_and_the_others_counted(
    folder: Path, record: Record
) -> None:
    record.tell(WatchState(before=(SLOW, HUNTING)))
    app = Dashboard(folder)
    with Lock(folder):
        async with app.run_test(size=(160, 48)) as pilot:
            await eventually(lambda: f"{SLOW[1]}; {HUNTING[1]}" in lines(app)[1])
            await pilot.resize_terminal(80, 24)
            await eventually(lambda: "1/60 s by hand" in lines(app)[1] and "(+1)" in lines(app)[1])
            await pilot.resize_terminal(30, 8)  # no room: the verdict is what matters
            await eventually(lambda: len(lines(app)) == 8 and "next shot" not in screen(app))


async def test_a_drift_comes_after_what_is_sure_and_before_what_is_not(
    folder: Path, record: Record
) -> None:
    drift = "Drift: edges 3 % wider a frame since bowl-12; about 7 to the limit. Check the ring."
    record.tell(WatchState(drift=drift))
    app = Dashboard(folder)
    with Lock(folder):
        async with app.run_test(size=(250, 24)):
            await eventually(lambda: f"◐ next shot: d{drift[1:]}" in lines(app)[1])
            record.tell(WatchState(drift=drift, before=(HUNTING, SLOW)))
            told = f"▲ next shot soft: {SLOW[1]}; d{drift[1:]}; {HUNTING[1]}"
            await eventually(lambda: told in lines(app)[1])
            record.tell(WatchState())
            await eventually(lambda: "next shot" not in screen(app))


async def test_without_a_watch_nothing_is_said_of_the_next_shot(
    folder: Path, record: Record
) -> None:
    record.tell(WatchState(before=(SLOW,)))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: "no watch is running" in screen(app))
        assert "next shot" not in screen(app)


async def test_without_colour_word_and_shape_stay(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    record.tell(WatchState(before=(SLOW,)))
    app = Dashboard(folder)
    with Lock(folder):
        async with app.run_test(size=(80, 24)):
            await eventually(lambda: "▲ next shot soft" in screen(app))
