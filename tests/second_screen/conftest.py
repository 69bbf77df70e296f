from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tether.session.record import Record


@pytest.fixture
def record(folder: Path) -> Iterator[Record]:
    opened = Record(folder)
    yield opened
    opened.close()
