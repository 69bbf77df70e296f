from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.dashboard.demo import drifting
from tests.dashboard.terminal import Terminal
from tether.dashboard.app import Dashboard
from tether.session.record import Record

COLOUR = re.compile(rb"\x1b\[(?:\d+;)*(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;\d+)*m")


@pytest.mark.parametrize(("value", "coloured"), [("1", False), ("", True)])
def test_no_color_means_none_unless_it_is_empty(
    folder: Path, record: Record, value: str, coloured: bool
) -> None:
    for one in drifting():
        record.add(one)
    with Terminal(str(folder), environment={"NO_COLOR": value}) as terminal:
        terminal.wait_for("bowl-0046", "1:1")
        terminal.type("f")
        terminal.wait_for("16.9")
        terminal.type("q")
        assert terminal.ended() == 0
        assert bool(COLOUR.search(terminal.written)) is coloured
        assert b"\x1b[5m" not in terminal.written  # nothing blinks


@pytest.mark.parametrize(("value", "coloured"), [("0", False), ("no", False), ("", True)])
def test_any_value_counts(
    folder: Path, monkeypatch: pytest.MonkeyPatch, value: str, coloured: bool
) -> None:
    monkeypatch.setenv("NO_COLOR", value)
    assert Dashboard(folder).chart.palette.colour is coloured
