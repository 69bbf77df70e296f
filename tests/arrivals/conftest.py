"""A folder that is watched, and the inbox of what comes from it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.arrivals.inbox import Inbox, wait_for
from tether.arrivals.folder import FolderSource

Watch = Callable[..., tuple[FolderSource, Inbox]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty folder; beside it is room for what is outside."""
    made = tmp_path / "session"
    made.mkdir()
    return made


@pytest.fixture
def watch(folder: Path) -> Iterator[Watch]:
    """Start a source for the folder, swept often, and wait until it has begun."""
    started: list[FolderSource] = []

    def start(where: Path = folder, **options: Any) -> tuple[FolderSource, Inbox]:
        source = FolderSource(where, **({"sweep_s": 0.05} | options))
        inbox = Inbox()
        started.append(source)
        source.start(inbox)
        assert wait_for(lambda: source.sweeps > 0 or bool(inbox.lines))
        return source, inbox

    yield start
    for source in started:
        source.stop()
