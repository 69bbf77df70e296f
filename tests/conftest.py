"""What holds for every test."""

from __future__ import annotations

import os
from collections.abc import Generator
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _no_settings_of_the_users(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tests see the program as it comes, whatever whoever runs them has set for themselves."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
    monkeypatch.setenv("HOME", str(tmp_path_factory.mktemp("home")))
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Where everything is installed (TETHER_NO_SKIPS=1), a skipped test is a failed one."""
    report = yield
    if (
        report.skipped
        and os.environ.get("TETHER_NO_SKIPS") == "1"
        and not hasattr(report, "wasxfail")
    ):
        report.outcome = "failed"
        report.longrepr = f"skipped, but nothing may be: {report.longrepr}"
    return report


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty hot folder."""
    made = tmp_path / "hot folder"
    made.mkdir()
    return made
