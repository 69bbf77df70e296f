"""Leaving while something is still to be shot."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from tests.dashboard.looking import eventually, keys, screen
from tests.dashboard.studio import session
from tests.dashboard.terminal import ROOT, Terminal
from tether.dashboard.app import Dashboard
from tether.dashboard.leaving import Leaving
from tether.model import Setup
from tether.session import setups
from tether.session.lock import Lock
from tether.session.record import Record

CLI = f"import sys; sys.path.insert(0, {str(ROOT)!r}); from tether.cli import app; app()"
ASKED = "2 setups lack sharp frames"


@pytest.mark.parametrize("size", [(20, 5), (80, 24), (160, 48)])
@pytest.mark.parametrize("key", ["q", "ctrl+c"])
async def test_it_lists_what_is_uncovered_and_leaves_when_asked_again(
    folder: Path, record: Record, size: tuple[int, int], key: str
) -> None:
    session(folder, record)
    app = Dashboard(folder, ends_watch=True)
    with Lock(folder):
        async with app.run_test(size=size) as pilot:
            await eventually(lambda: app.state_line.watched and app.shots.progress.setups)
            await pilot.press(key)
            await eventually(lambda: isinstance(app.screen, Leaving))
            await pilot.pause()
            if size != (20, 5):
                assert ASKED in screen(app)
                assert "▲ The maker  ■□□ 1 of 3 sharp" in screen(app)
                assert "Kiln, door open  □ 0 of 1 sharp" in screen(app)
                assert "q again leaves  Esc goes on" in keys(app)
            await pilot.press("escape")
            await eventually(lambda: not isinstance(app.screen, Leaving))
            assert app.return_code is None
            await pilot.press(key, key)
            await pilot.pause()
            assert app.return_code == 0


@pytest.mark.parametrize("watched", [True, False])
async def test_where_leaving_ends_no_watch_nobody_is_asked(
    folder: Path, record: Record, watched: bool
) -> None:
    session(folder, record)
    # A dashboard that looks on at another's watch; and one whose own watch is gone.
    app = Dashboard(folder, ends_watch=not watched)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: app.state_line.watched is False and app.shots.progress.setups)
        if watched:
            with Lock(folder):
                await eventually(lambda: app.state_line.watched)
        await pilot.press("q")
        await pilot.pause()
        assert app.return_code == 0


async def test_ten_thousand_are_not_listed_one_by_one(folder: Path, record: Record) -> None:
    record.open()
    setups.put_list(folder, [Setup(f"Bowl {n}") for n in range(10_000)], "list")
    app = Dashboard(folder, ends_watch=True)
    with Lock(folder):
        async with app.run_test(size=(80, 24)) as pilot:
            await eventually(lambda: app.state_line.watched and app.shots.progress.setups, 10.0)
            await pilot.press("q")
            await eventually(lambda: "and 9,993 more" in screen(app))


@pytest.mark.parametrize("number", [None, signal.SIGTERM, signal.SIGHUP])
def test_a_watch_asks_but_not_when_a_signal_ends_it_and_lists_them_afterwards(
    folder: Path, number: int | None
) -> None:
    shots = folder / "list.csv"
    shots.write_text("name,sharp\nKiln,1\nThe maker,3\n")
    hot = folder / "hot"
    hot.mkdir()
    arguments = ["watch", str(hot), "--shot-list", str(shots)]
    program = f"import sys; sys.argv = ['tether', *{arguments!r}]; " + CLI
    with Terminal(program=program, size=(80, 24)) as terminal:
        terminal.wait_for("no setup now", "watching", within_s=20)
        if number is None:
            terminal.type("q")
            terminal.wait_for("2 setups lack sharp frames", "The maker")
            terminal.type("q")
            assert terminal.ended(20) == 0
        else:
            os.kill(terminal.pid, number)
            assert terminal.ended(20) == 128 + number
            assert b"lack sharp frames" not in terminal.written
        assert terminal.restored
        after = terminal.written[terminal.written.rfind(b"\x1b[?1049l") :]
        assert b"tether: uncovered: Kiln, 0 of 1 sharp" in after
        assert b"tether: uncovered: The maker, 0 of 3 sharp" in after
