"""How a second screen is let in is shown so that a phone reads it, on any terminal."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray
from rich.color import Color
from rich.segment import Segment

from tests.dashboard.demo import entry
from tests.dashboard.looking import eventually, screen
from tether.dashboard import qr
from tether.dashboard.app import Dashboard
from tether.dashboard.invitation import Invitation
from tether.dashboard.inviting import Inviting
from tether.session.record import Record

SIZES = [(80, 24), (160, 48)]
CODE = "K7QF2M9DXW4T"
IPV4 = Invitation("http://192.168.100.200:65535/", CODE, 1)
IPV6 = Invitation("http://[2001:db8:1234:5678:9abc:def0:1234:5678]:65535/", CODE)
CELL = 8  # px a half cell


def drawn(app: Dashboard, front: int, back: int) -> NDArray[np.uint8]:
    """The screen as a terminal draws it, grey; `front` and `back` are its own two colours."""
    strips = app.screen._compositor.render_strips(app.size)
    rows = [
        [half(one, glyph, front, back) for one in line for glyph in one.text] for line in strips
    ]
    grey = np.array(rows, np.uint8).transpose(0, 2, 1).reshape(-1, len(rows[0]))
    return np.ascontiguousarray(grey.repeat(CELL, axis=0).repeat(CELL, axis=1))


def half(segment: Segment, glyph: str, front: int, back: int) -> tuple[int, int]:
    """Upper and lower half of a cell."""
    style = segment.style
    fore = shade(style.color if style else None, front)
    ground = shade(style.bgcolor if style else None, back)
    if style and style.reverse:
        fore, ground = ground, fore
    known = {"█": (fore, fore), "▀": (fore, ground), "▄": (ground, fore)}
    # Letters are drawn as a shade between: they must not help, nor be in the way.
    return known.get(glyph, (ground, ground) if glyph == " " else ((fore + ground) // 2,) * 2)


def shade(colour: Color | None, otherwise: int) -> int:
    if colour is None or colour.is_default:
        return otherwise
    return round(sum(colour.get_truecolor()) / 3)


def read(grey: NDArray[np.uint8]) -> list[str]:
    """What a reader by somebody else makes of it."""
    return [one.text for one in zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormat.QRCode)]


async def shown(app: Dashboard, press: str = "v") -> Inviting:
    from textual.pilot import Pilot

    await Pilot(app).press(press)
    await eventually(lambda: isinstance(app.screen, Inviting) and app.screen.panel.invitation)
    assert isinstance(app.screen, Inviting)
    await Pilot(app).pause()
    return app.screen


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("invitation", [IPV4, IPV6], ids=["IPv4", "IPv6"])
async def test_a_phone_reads_it(
    folder: Path, record: Record, size: tuple[int, int], invitation: Invitation
) -> None:
    record.add(entry(1))
    app = Dashboard(folder, second_screen=lambda: invitation)
    async with app.run_test(size=size):
        await eventually(lambda: "v second screen" in screen(app))
        await shown(app)
        assert read(drawn(app, 220, 10)) == [invitation.link]
        told = screen(app)
        assert "K7QF-2M9D-XW4T" in told
        assert invitation.address[:30] in told
        assert "v Esc back" in told
        assert "q leave" in told


@pytest.mark.parametrize("size", SIZES)
async def test_without_colour_too_on_a_dark_ground_and_on_a_light_one(
    folder: Path, record: Record, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = Dashboard(folder, second_screen=lambda: IPV4)
    async with app.run_test(size=size) as pilot:
        await shown(app)
        strips = app.screen._compositor.render_strips(app.size)
        told = [one.style for line in strips for one in line if one.style]
        assert all(one.color is None or one.color.is_default for one in told)
        assert read(drawn(app, 220, 10)) == [IPV4.link]
        assert "i swap light and dark" in screen(app)
        await pilot.press("i")
        await pilot.pause()
        assert read(drawn(app, 10, 245)) == [IPV4.link]


async def test_a_used_code_gives_way_to_the_next_while_it_is_shown(
    folder: Path, record: Record
) -> None:
    now = [IPV4]
    app = Dashboard(folder, second_screen=lambda: now[0])
    async with app.run_test(size=(80, 24)):
        await shown(app)
        assert "screens open: 1" in screen(app)
        now[0] = Invitation(IPV4.address, "0" * 12, 2)
        await eventually(lambda: "0000-0000-0000" in screen(app))
        assert "screens open: 2" in screen(app)
        assert read(drawn(app, 220, 10)) == [now[0].link]


@pytest.mark.parametrize(
    ("invitation", "words"),
    [
        (Invitation(), "the second screen is starting"),
        (Invitation(trouble="port 8321 is in use"), "no second screen: port 8321 is in use"),
        (Invitation("http://127.0.0.1:8321/"), "On this computer only"),
    ],
)
@pytest.mark.parametrize("size", [*SIZES, (40, 12), (20, 5)])
async def test_what_else_there_is_to_say(
    folder: Path, record: Record, invitation: Invitation, words: str, size: tuple[int, int]
) -> None:
    app = Dashboard(folder, second_screen=lambda: invitation)
    async with app.run_test(size=size):
        await shown(app)
        told = " ".join(screen(app).split())
        assert words in told or size not in SIZES
        assert max(map(len, screen(app).splitlines())) == size[0]


async def test_it_is_left_by_its_keys_and_the_others_wait(folder: Path, record: Record) -> None:
    record.add(entry(1))
    app = Dashboard(folder, second_screen=lambda: IPV4)
    async with app.run_test(size=(80, 24)) as pilot:
        for key in ("v", "escape", "V"):
            await shown(app)
            await pilot.press("a", "n", "f")
            assert isinstance(app.screen, Inviting)
            await pilot.press(key)
            await eventually(lambda: not isinstance(app.screen, Inviting))
        await shown(app)
        await pilot.press("q")
        await eventually(lambda: app.return_value == 0)


async def test_without_a_second_screen_there_is_no_such_key(folder: Path, record: Record) -> None:
    record.add(entry(1))
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)) as pilot:
        await eventually(lambda: "bowl-0001" in screen(app))
        assert "second screen" not in screen(app)
        await pilot.press("v")
        await pilot.pause()
        assert not isinstance(app.screen, Inviting)


def test_the_quiet_zone_is_what_the_standard_asks_for_where_there_is_room() -> None:
    # ISO/IEC 18004:2015, 6.3.8: four modules wide.
    rows = qr.fitting(IPV4.link, 60, 30)
    assert rows is not None
    assert not any(any(row[:4] + row[-4:]) for row in rows)
    assert not any(map(any, rows[:4]))
    assert qr.fitting(IPV4.link, 20, 10) is None
