"""What the tests of a session share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.session.held import Gate
from tests.session.running import Begin, Running
from tether.settings import Settings


@pytest.fixture
def watched(folder: Path) -> Iterator[Begin]:
    begun: list[Running] = []

    def begin(settings: Settings | None = None, *others: Path) -> Running:
        begun.append(Running(folder, others).begin(settings))
        return begun[-1]

    yield begin
    for one in begun:
        one.end()


@pytest.fixture
def gate(watched: Begin) -> Iterator[Gate]:
    """Every frame that a watch here judges passes it."""
    made = Gate()
    take_out = made.put_in()
    yield made
    made.open()
    take_out()
