from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tether.session.record import Record


@pytest.fixture(autouse=True)
def colours(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("COLORTERM", "truecolor")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "shoot"
    made.mkdir()
    return made


@pytest.fixture
def record(folder: Path) -> Iterator[Record]:
    opened = Record(folder)
    yield opened
    opened.close()
