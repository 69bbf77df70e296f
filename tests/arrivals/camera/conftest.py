"""A camera that is on, and what is tethered to it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from mocks.camera.camera import Camera
from tests.arrivals.camera.tethered import Tethered
from tether.arrivals.camera import connecting, source


@pytest.fixture(autouse=True)
def _impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Try again sooner than a photographer would need it."""
    for module in (connecting, source):
        monkeypatch.setattr(module, "AGAIN_S", 0.2)


@pytest.fixture
def camera() -> Iterator[Camera]:
    with Camera() as one:
        yield one


@pytest.fixture
def tethered(folder: Path, camera: Camera) -> Iterator[Tethered]:
    one = Tethered(folder, camera)
    yield one
    one.end()
