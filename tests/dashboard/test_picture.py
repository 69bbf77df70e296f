from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from rich.color import Color as RichColor
from textual.color import Color

from tests.dashboard.demo import entry, jpeg
from tests.dashboard.looking import eventually, keys, screen
from tests.dashboard.picture import draw
from tether.dashboard.app import Dashboard
from tether.dashboard.focus_area import FocusArea
from tether.model import Verdict
from tether.session.record import Record

Grey = npt.NDArray[np.uint8]


def decoded(picture: bytes) -> Grey:
    import simplejpeg

    plane: Grey = simplejpeg.decode_jpeg(picture, colorspace="gray")[:, :, 0]
    return plane


def luma(colour: RichColor | None) -> int:
    assert colour is not None
    red, green, blue = Color.from_rich_color(colour).rgb
    return red if red == green == blue else 0


def pixels(part: FocusArea) -> Grey:
    """What the part shows, read back from its half cells; 0 where there is no picture."""
    rows: list[list[int]] = []
    for y in range(1, part.size.height):
        upper: list[int] = []
        lower: list[int] = []
        for segment in part.render_line(y):
            assert set(segment.text) == {"▀"}
            assert segment.style is not None
            upper += [luma(segment.style.color)] * len(segment.text)
            lower += [luma(segment.style.bgcolor)] * len(segment.text)
        rows += [upper, lower]
    return np.array(rows, dtype=np.uint8)


@pytest.mark.parametrize(("size", "shape"), [((80, 24), (22, 36)), ((160, 48), (32, 80))])
async def test_a_picture_pixel_is_half_a_cell_and_nothing_else(
    folder: Path, record: Record, size: tuple[int, int], shape: tuple[int, int]
) -> None:
    noise = np.random.default_rng(1).integers(0, 256, (200, 200)).astype(np.uint8)
    picture = jpeg(noise, quality=100)
    record.add(entry(1, crop=picture))
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        await eventually(lambda: app.focus_area.grey is not None and "1:1" in screen(app))
        whole, (height, width) = decoded(picture), shape
        y, x = (200 - height) // 2, (200 - width) // 2
        assert np.array_equal(pixels(app.focus_area), whole[y : y + height, x : x + width])
        await pilot.press("l", "l", "i")
        moved = whole[y - 8 : y - 8 + height, x + 16 : x + 16 + width]
        assert np.array_equal(pixels(app.focus_area), moved)
        assert "+16 -8" in screen(app)
        app.action_pan(-30, 30)  # as far as it goes
        assert np.array_equal(pixels(app.focus_area), whole[200 - height :, :width])
        await pilot.press("c")
        assert np.array_equal(pixels(app.focus_area), whole[y : y + height, x : x + width])


async def test_a_picture_smaller_than_its_place_is_not_blown_up(
    folder: Path, record: Record
) -> None:
    flat = np.full((10, 12), 180, np.uint8)
    record.add(entry(1, crop=jpeg(flat, quality=100)))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: app.focus_area.grey is not None)
        shown = pixels(app.focus_area)
        assert (shown[6:16, 12:24] == 180).all()
        assert np.count_nonzero(shown == 180) == 120
        assert "pan" not in keys(app)


async def test_the_place_is_kept_from_frame_to_frame(folder: Path, record: Record) -> None:
    noise = np.random.default_rng(2).integers(0, 256, (200, 200)).astype(np.uint8)
    record.add(entry(1, crop=jpeg(noise)))
    record.add(entry(2, crop=jpeg(noise)))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "bowl-0002 1:1" in screen(app))
        await pilot.press("l", "down")
        await eventually(lambda: "bowl-0001 1:1" in screen(app))
        assert "+8 +0" in screen(app)


@pytest.mark.parametrize(
    ("crop", "words"),
    [(b"", "no picture was kept"), (b"\xff\xd8 nonsense", "cannot be decoded")],
)
async def test_a_missing_picture_is_told_in_words(
    folder: Path, record: Record, crop: bytes, words: str
) -> None:
    record.add(entry(1, Verdict.UNJUDGED, width=None, crop=crop))
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)):
        await eventually(lambda: words in screen(app))


async def test_the_picture_for_the_documents_can_be_drawn(tmp_path: Path) -> None:
    to = tmp_path / "dashboard.svg"
    await draw(to, count=4)
    drawn = to.read_text()
    ET.fromstring(drawn)
    assert "not seen yet: " in drawn.replace("\xa0", " ")
    assert "maker-0006" in drawn
    assert "reference maker-0003" in drawn.replace("\xa0", " ")
    assert "Raw foot and glaze" in drawn.replace("\xa0", " ")
    assert str(tmp_path) not in drawn
