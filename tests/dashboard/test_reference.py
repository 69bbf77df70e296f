"""The reference: chosen by key, and shown beside the frame, pixel for pixel."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from tests.dashboard.demo import entry, jpeg
from tests.dashboard.looking import eventually, keys, lines, screen
from tests.dashboard.test_picture import decoded, pixels
from tether.dashboard.app import Dashboard
from tether.model import Verdict
from tether.session import references
from tether.session.reader import Reader
from tether.session.record import Record


def noise(seed: int) -> bytes:
    grey = np.random.default_rng(seed).integers(0, 256, (200, 200)).astype(np.uint8)
    return jpeg(grey, quality=100)


def two(record: Record) -> None:
    record.add(entry(1, crop=noise(1)))
    record.add(entry(2, crop=noise(2)))


def middle(crop: bytes, shape: tuple[int, int], pan: tuple[int, int] = (0, 0)) -> np.ndarray:
    whole = decoded(crop)
    y, x = ((200 - side) // 2 + by for side, by in zip(shape, pan[::-1], strict=True))
    return whole[y : y + shape[0], x : x + shape[1]]


async def test_a_key_makes_a_frame_the_reference_and_lets_go_of_it(
    folder: Path, record: Record
) -> None:
    two(record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "r reference" in keys(app))
        await pilot.press("down")
        await eventually(lambda: app.parts.detail and app.parts.detail.number == 1)
        await pilot.press("r")
        await eventually(lambda: "bowl-0001 is the reference" in lines(app)[0])
        await eventually(lambda: "r no reference" in keys(app))
        found = Reader(folder).reference_of(2)
        assert found is not None
        assert found.name == "bowl-0001"
        await pilot.press("f")
        await eventually(lambda: "this frame is the reference" in screen(app))
        await pilot.press("r")
        await eventually(lambda: "not the chosen reference any more" in lines(app)[0])
        await eventually(lambda: "r reference" in keys(app))
        assert Reader(folder).reference_of(2) is None


async def test_at_160x48_both_stand_side_by_side_and_move_together(
    folder: Path, record: Record
) -> None:
    two(record)
    references.choose(folder, 1)
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)) as pilot:
        await eventually(lambda: "reference bowl-0001 1:1" in screen(app))
        await eventually(lambda: "▀" in app.parts.reference_area.render_line(1).text)
        assert "bowl-0002 1:1" in screen(app)
        assert "its reference" not in keys(app)
        shape = pixels(app.focus_area).shape
        assert shape == pixels(app.parts.reference_area).shape
        assert shape[1] == 39
        assert np.array_equal(pixels(app.focus_area), middle(noise(2), shape))
        assert np.array_equal(pixels(app.parts.reference_area), middle(noise(1), shape))
        await pilot.press("l", "i")
        moved = (8, -8)
        assert np.array_equal(pixels(app.focus_area), middle(noise(2), shape, moved))
        assert np.array_equal(pixels(app.parts.reference_area), middle(noise(1), shape, moved))
        await pilot.press("c")
        assert np.array_equal(pixels(app.parts.reference_area), middle(noise(1), shape))
        # On the reference itself there is nothing to stand beside it.
        await pilot.press("down")
        await eventually(lambda: "focus area of bowl-0001" in screen(app))
        assert not app.parts.reference_area.display


async def test_at_80x24_a_key_turns_between_them_and_nothing_turns_by_itself(
    folder: Path, record: Record
) -> None:
    two(record)
    references.choose(folder, 1)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "b its reference" in keys(app))
        shape = pixels(app.focus_area).shape
        assert np.array_equal(pixels(app.focus_area), middle(noise(2), shape))
        await pilot.press("l", "b")
        await eventually(lambda: "reference bowl-0001 1:1" in screen(app))
        # The same place of both, in the same cells.
        assert np.array_equal(pixels(app.parts.reference_area), middle(noise(1), shape, (8, 0)))
        assert "b the frame" in keys(app)
        await pilot.press("l")
        await pilot.press("b")
        await pilot.pause()
        assert np.array_equal(pixels(app.focus_area), middle(noise(2), shape, (16, 0)))
        assert "reference bowl-0001" not in screen(app)


async def test_a_frame_that_cannot_be_a_reference_says_why(folder: Path, record: Record) -> None:
    record.add(entry(1, Verdict.UNJUDGED, width=None, arrived=datetime.now(UTC)))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: app.chart.selected)
        assert "r reference" not in keys(app)
        await pilot.press("r")
        await eventually(lambda: "nothing on it was measured" in lines(app)[0])


@pytest.mark.parametrize("size", [(80, 24), (160, 48)])
async def test_a_reference_without_a_picture_says_so(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    record.add(entry(1))
    record.add(entry(2, crop=noise(2)))
    references.choose(folder, 1)
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        await eventually(lambda: app.parts.has_reference)
        await pilot.press("b")
        await eventually(lambda: "no picture was kept" in screen(app))
        assert "reference bowl-0001" in screen(app)
