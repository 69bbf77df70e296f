"""Whatever a step beside the screen raises, the screen says so and is free for the next."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.dashboard.looking import eventually, lines, screen
from tests.dashboard.test_drawing import opened as drawing_opened
from tests.dashboard.test_drawing import shoot
from tests.dashboard.test_overruling import opened as overruling_opened
from tests.dashboard.test_overruling import soft
from tether.dashboard import whole_frame
from tether.dashboard.app import Dashboard
from tether.dashboard.drawing import Drawing
from tether.dashboard.overruling import Overruling
from tether.session import overrules, turns
from tether.session.reader import Reader
from tether.session.record import Record

WORDS = "that failed (ZeroDivisionError: "


def fails_once(real: Callable[..., object]) -> Callable[..., object]:
    """The same step, but the first time with a fault that nobody foresaw."""
    times = [1]

    def step(*asked: object, **more: object) -> object:
        if times:
            return times.pop() / 0
        return real(*asked, **more)

    return step


async def test_a_question_is_free_again(
    folder: Path,
    record: Record,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    soft(record)
    monkeypatch.setattr(overrules, "overrule", fails_once(overrules.overrule))
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(80, 24)) as pilot:
        dialog = await overruling_opened(app, pilot)
        await pilot.press("1", "enter")
        await eventually(lambda: WORDS in screen(app))
        assert isinstance(app.screen, Overruling)
        assert not dialog.busy
        assert "Traceback" in caplog.text
        await pilot.press("enter")
        await eventually(lambda: not isinstance(app.screen, Overruling))
    assert [row.overruled for row in Reader(folder).rows_since(0)] == ["sharp"]


async def test_an_area_is_drawn_after_all(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    shoot(folder, record)
    monkeypatch.setattr(whole_frame, "keep", fails_once(whole_frame.keep))
    app = Dashboard(folder)
    async with app.run_test(size=(120, 24)) as pilot:
        await drawing_opened(app)
        await pilot.press("enter")
        await eventually(lambda: f"the area cannot be kept: {WORDS}" in lines(app)[0])
        await pilot.press("enter")
        await eventually(lambda: not isinstance(app.screen, Drawing))
    assert Reader(folder).laid() is not None


async def test_a_frame_to_draw_over_says_why_it_is_not_shown(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    shoot(folder, record)
    monkeypatch.setattr(whole_frame, "read", fails_once(whole_frame.read))
    app = Dashboard(folder)
    async with app.run_test(size=(120, 24)) as pilot:
        await eventually(lambda: app.chart.selected)
        await pilot.press("a")
        await eventually(lambda: f"bowl-0001 cannot be shown: {WORDS}" in lines(app)[0])
        await pilot.press("escape")
        await drawing_opened(app)


async def test_a_key_of_the_dashboard_says_so(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    soft(record)
    monkeypatch.setattr(turns, "turn_on", fails_once(turns.turn_on))
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(120, 24)) as pilot:
        await eventually(lambda: app.chart.selected)
        app.action_next_setup()
        await eventually(lambda: WORDS in screen(app))
        await pilot.pause()
