"""A camera that is on, and what is tethered to it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from mocks.camera.camera import Camera
from tests.arrivals.camera.tethered import Tethered


@pytest.fixture
def camera() -> Iterator[Camera]:
    with Camera() as one:
        yield one


@pytest.fixture
def tethered(folder: Path, camera: Camera) -> Iterator[Tethered]:
    one = Tethered(folder, camera)
    yield one
    one.end()
