"""An area is drawn over a frame with the keys, and the record has it."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.dashboard.demo import entry
from tests.dashboard.looking import eventually, lines, screen
from tests.dashboard.terminal import Terminal
from tests.pictures import jpeg
from tether.dashboard.app import Dashboard
from tether.dashboard.drawing import Drawing
from tether.dashboard.halfcell import MARK
from tether.dashboard.rectangle import Rectangle
from tether.frame.orientation import upright
from tether.model import FocusArea, Rect, Source
from tether.session import laid as areas
from tether.session.laid import Laid
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.schema import NAME

SIZES = [(80, 24), (160, 48)]
WIDTH, HEIGHT = 1200, 800
AREA = Rect(700, 200, 200, 150)


def picture() -> NDArray[np.uint8]:
    """Dark, but bright where the area lies; as it is stored."""
    stored = np.full((HEIGHT, WIDTH), 40, np.uint8)
    stored[AREA.y : AREA.y + AREA.height, AREA.x : AREA.x + AREA.width] = 220
    return stored


def shoot(folder: Path, record: Record, orientation: int = 1) -> None:
    made = entry(1)
    (folder / "1.jpg").write_bytes(jpeg(picture()))
    told = replace(
        made.judgement,
        area=FocusArea(AREA, Source.SUBJECT_AREA),
        orientation=orientation,
        size=(WIDTH, HEIGHT),
    )
    record.add(replace(made, judgement=told))


async def opened(app: Dashboard, key: str = "a") -> Drawing:
    from textual.pilot import Pilot

    await eventually(lambda: app.chart.selected)
    await Pilot(app).press(key)
    await eventually(lambda: isinstance(app.screen, Drawing) and app.screen.rectangle)
    assert isinstance(app.screen, Drawing)
    return app.screen


@pytest.mark.parametrize("size", SIZES)
async def test_it_begins_where_the_frame_was_judged_and_shows_every_key(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    shoot(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        await eventually(lambda: "a draw area" in screen(app))
        drawing = await opened(app)
        await pilot.pause()
        told = lines(app)
        assert "area over bowl-0001: 200×150 px at 700, 200" in told[0]
        for key in ("move", "i j k l size", "z closer", "Enter take", "Esc back", "q leave"):
            assert key in told[-1]
        assert "no area" not in told[-1]
        assert drawing.rectangle is not None
        assert drawing.rectangle.rect == AREA


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("size", SIZES)
async def test_the_rectangle_lies_over_what_it_names_whichever_way_up(
    folder: Path, record: Record, orientation: int, size: tuple[int, int]
) -> None:
    shoot(folder, record, orientation)
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        drawing = await opened(app)
        await pilot.pause()
        assert drawing._whole is not None
        shown = drawing._whole.shown
        assert np.abs(shown.astype(int) - upright(picture(), orientation)).max() < 12
        assert drawing.rectangle is not None
        r = drawing.rectangle.rect
        inside = shown[r.y : r.y + r.height, r.x : r.x + r.width]
        assert inside.min() > 200
        assert (shown > 200).sum() == inside.size
        step = drawing.picture.step
        await pilot.press("right", "down", "l", "enter")
        await eventually(lambda: Reader(folder).laid())
        laid = Reader(folder).laid()
        assert laid is not None
        # As many px as keys say, to the right and down as it is seen.
        moved = drawing.rectangle.rect
        assert laid.rect == drawing._whole.stored(moved)
        assert (moved.width, moved.height) == (r.width + step, r.height)
        assert moved.y == r.y + step
        assert abs(moved.x + moved.width / 2 - r.x - r.width / 2 - step) <= 1
        assert (laid.size, laid.drawn, laid.frame) == ((WIDTH, HEIGHT), True, "bowl-0001")


async def test_taken_it_is_told_where_the_session_is_named(folder: Path, record: Record) -> None:
    shoot(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app)
        await pilot.press("enter")
        await eventually(lambda: "area drawn over bowl-0001" in lines(app)[0])
        drawing = await opened(app)
        await eventually(lambda: "x no area" in lines(app)[-1])
        await pilot.press("x")
        await eventually(lambda: not isinstance(app.screen, Drawing))
        assert drawing.rectangle is not None
        assert Reader(folder).laid() is None
        await eventually(lambda: "area drawn" not in lines(app)[0])


async def test_escape_leaves_everything_as_it_was(folder: Path, record: Record) -> None:
    shoot(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app)
        await pilot.press("right", "escape")
        await eventually(lambda: not isinstance(app.screen, Drawing))
        assert Reader(folder).laid() is None


async def test_its_keys_are_not_the_dashboards(folder: Path, record: Record) -> None:
    shoot(folder, record)
    record.add(entry(2))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: len(app.frames.rows) == 2)
        await pilot.press("down")
        await opened(app)
        before = app.chart.selected, app._facts_turned_up, app.focus_area.pan
        await pilot.press("up", "f", "i", "n", "s")
        assert (app.chart.selected, app._facts_turned_up, app.focus_area.pan) == before
        await pilot.press("q")
        await pilot.pause()
        assert app.return_code == 0


@pytest.mark.parametrize("size", SIZES)
async def test_closer_keys_move_by_less(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    shoot(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        drawing = await opened(app)
        await pilot.pause()
        steps = [drawing.picture.step]
        for _ in range(3):
            await pilot.press("z")
            await pilot.pause()
            steps.append(drawing.picture.step)
        assert steps[0] > steps[1] > steps[2] >= 1
        assert steps[3] == steps[0]


async def test_a_frame_that_is_gone_says_so_and_nothing_is_written(
    folder: Path, record: Record
) -> None:
    shoot(folder, record)
    (folder / "1.jpg").unlink()
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: app.chart.selected)
        await pilot.press("a")
        await eventually(lambda: "bowl-0001 cannot be shown: not there" in lines(app)[0])
        await pilot.press("enter", "x", "up", "l", "z")
        await asyncio.sleep(0.1)
        assert Reader(folder).laid() is None
        assert "Esc back" in lines(app)[-1]
        await pilot.press("escape")
        await eventually(lambda: not isinstance(app.screen, Drawing))


@pytest.mark.parametrize("content", [b"", b"no picture", b"\xff\xd8\xff\xe0 cut short"])
async def test_a_frame_that_cannot_be_read_any_more_says_so(
    folder: Path, record: Record, content: bytes
) -> None:
    shoot(folder, record)
    (folder / "1.jpg").write_bytes(content)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: app.chart.selected)
        await pilot.press("a")
        await eventually(lambda: "bowl-0001 cannot be shown: " in lines(app)[0])


async def test_where_it_cannot_be_written_it_says_so_and_stays(
    folder: Path, record: Record
) -> None:
    shoot(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app)
        (folder / NAME).rename(folder / "elsewhere")
        await pilot.press("enter")
        await eventually(lambda: "the area cannot be kept: " in lines(app)[0])
        assert isinstance(app.screen, Drawing)
        assert not (folder / NAME).exists()


async def test_an_area_of_an_earlier_drawing_is_where_it_begins(
    folder: Path, record: Record
) -> None:
    shoot(folder, record)
    rect = Rect(10, 20, 300, 250)
    areas.put(folder, Laid(rect, (WIDTH, HEIGHT), "bowl-0001", drawn=True), b"")
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        drawing = await opened(app)
        assert drawing.rectangle is not None
        assert drawing.rectangle.rect == rect


async def test_an_area_drawn_over_a_frame_of_a_further_folder_is_that_cameras(
    folder: Path, record: Record, tmp_path: Path
) -> None:
    shoot(folder, record)
    path = tmp_path / "shelf.jpg"
    (folder / "1.jpg").rename(path)
    made = entry(2)
    told = replace(made.judgement, file=path, camera="shelf", size=(WIDTH, HEIGHT))
    record.add(replace(made, judgement=told, path=path))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app)
        await pilot.press("enter")
        await eventually(lambda: Reader(folder).laid(camera="shelf"))
        assert Reader(folder).laid() is None
        await opened(app)
        await pilot.press("x")
        await eventually(lambda: Reader(folder).laid(camera="shelf") is None)


async def test_its_outline_goes_around_the_rectangle(folder: Path, record: Record) -> None:
    shoot(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)) as pilot:
        drawing = await opened(app)
        await pilot.pause()
        assert drawing.rectangle is not None
        assert drawing._whole is not None
        from tether.dashboard.drawing_picture import _marked

        scale = 92 / HEIGHT
        seen = _marked(drawing._whole, drawing.rectangle, (160, 92), scale)
        y, x = np.nonzero(seen == MARK)
        assert (x.min(), y.min()) == (round(AREA.x * scale) - 1, round(AREA.y * scale) - 1)
        assert x.max() == round((AREA.x + AREA.width) * scale)
        assert y.max() == round((AREA.y + AREA.height) * scale)
        assert seen[y.min() + 1 : y.max(), x.min() + 1 : x.max()].min() > 120


def test_a_rectangle_stays_in_the_frame_and_of_sides_that_can_be_judged() -> None:
    one = Rectangle(Rect(100, 100, 200, 200), (1000, 300), 128, 400)
    assert one.moved(-500, 500).rect == Rect(0, 100, 200, 200)
    assert one.sized(-500, 500).rect == Rect(136, 0, 128, 300)
    assert one.sized(1000, 0).rect == Rect(0, 100, 400, 200)
    small = Rectangle(Rect(0, 0, 9, 9), (100, 90), 128, 400).sized(0, 0)
    assert small.rect == Rect(0, 0, 100, 90)


@pytest.mark.parametrize("coloured", [True, False])
def test_it_works_with_and_without_colour_in_a_terminal(
    folder: Path, record: Record, coloured: bool
) -> None:
    shoot(folder, record)
    environment = {} if coloured else {"NO_COLOR": "1"}
    with Terminal(str(folder), environment=environment) as terminal:
        terminal.wait_for("bowl-0001", "draw area")
        terminal.type("a")
        terminal.wait_for("area over bowl-0001", "Enter")
        terminal.type("\x1b[C")
        terminal.type("\r")
        terminal.wait_for("area drawn over bowl-0001")
        terminal.type("q")
        assert terminal.ended() == 0
        assert terminal.restored
        assert b"\x1b[5m" not in terminal.written  # nothing blinks
