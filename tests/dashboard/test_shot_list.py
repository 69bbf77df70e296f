"""The shot list's own screen: choosing from it and changing it."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from tests.dashboard.looking import eventually, keys, lines, screen
from tests.dashboard.studio import of, session
from tests.dashboard.terminal import Terminal
from tether.dashboard.app import Dashboard
from tether.dashboard.setup_form import SetupForm
from tether.dashboard.shot_list import ShotList
from tether.model import Setup, Verdict
from tether.session import setups
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.schema import NAME

SIZES = [(60, 20), (80, 24), (160, 48)]


def listed(folder: Path) -> list[str]:
    return [one.setup.name for one in Reader(folder).progress().setups]


def setup(folder: Path, name: str) -> Setup:
    return next(one.setup for one in Reader(folder).progress().setups if one.setup.name == name)


async def opened(app: Dashboard, pilot: Pilot[int]) -> ShotList:
    await eventually(lambda: app.shots.progress.setups)
    await pilot.press("g")
    await eventually(lambda: isinstance(app.screen, ShotList))
    await pilot.pause()
    assert isinstance(app.screen, ShotList)
    return app.screen


async def form(app: Dashboard, pilot: Pilot[int], key: str) -> SetupForm:
    await pilot.press(key)
    await eventually(lambda: isinstance(app.screen, SetupForm))
    await pilot.pause()
    assert isinstance(app.screen, SetupForm)
    return app.screen


async def typed(pilot: Pilot[int], text: str) -> None:
    await pilot.press(*("space" if letter == " " else letter for letter in text))


def pasted(app: Dashboard, text: str) -> None:
    assert app.focused is not None
    app.focused.post_message(events.Paste(text))


@pytest.mark.parametrize("size", SIZES)
async def test_it_begins_at_the_setup_of_now_and_shows_every_key(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        await opened(app, pilot)
        assert "▸○ Kiln, door open" in screen(app)
        for key in ("Esc back", "↑ ↓ setup", "Enter turn to it", "a add", "e edit", "x remove"):
            assert key in keys(app)
        if size[0] >= 80:
            for key in ("i k move up, down", "/ find", "n no setup", "q leave"):
                assert key in keys(app)
        assert max(map(len, lines(app))) == size[0]
        await pilot.press("up")
        assert "o on it" in keys(app)
        assert "reshoot: The maker 1 of 3" in screen(app)
        assert "hands in the clay; look up once" in " ".join(screen(app).split())
        await pilot.press("escape")
        await eventually(lambda: not isinstance(app.screen, ShotList))


async def test_enter_turns_to_a_setup_and_goes_back(folder: Path, record: Record) -> None:
    ids = session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("home", "down", "enter")
        await eventually(lambda: "The maker is the setup now" in lines(app)[0])
        assert Reader(folder).progress().current == ids["The maker"]
        await eventually(lambda: app.shots.progress.current == ids["The maker"])
        shown = await opened(app, pilot)
        assert shown.table.cursor == 1
        await pilot.press("n")
        await eventually(lambda: "no setup now" in lines(app)[0])
        assert Reader(folder).progress().current is None


async def test_a_setup_is_added_and_the_cursor_follows_it(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await opened(app, pilot)
        await form(app, pilot, "a")
        await typed(pilot, "Quince vase, side")
        await pilot.press("down", *"VASE", "down", "3", "down", "right", "right", "down")
        await typed(pilot, "0.1,0.2,0.3,0.4")
        await pilot.press("down")
        await typed(pilot, "rim; glaze")
        assert app.is_running
        await pilot.press("enter")
        await eventually(lambda: "Quince vase, side is on the shot list" in lines(app)[0])
        wanted = Setup(
            "Quince vase, side", "VASE", 3, "product", (0.1, 0.2, 0.3, 0.4), "rim; glaze"
        )
        assert setup(folder, "Quince vase, side") == wanted
        await eventually(lambda: shown.table.chosen and shown.table.chosen.setup == wanted)
        await pilot.press("i", "i", "i", "i")
        await eventually(lambda: listed(folder)[0] == "Quince vase, side")
        await eventually(lambda: shown.table.cursor == 0)
        await pilot.press("k")
        await eventually(lambda: listed(folder)[1] == "Quince vase, side")


async def test_a_setup_is_changed(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("home")
        shown = await form(app, pilot, "e")
        assert [one.value for one in shown.entries.values()] == [
            "Bowl, glaze blue", "BOWL-01", "2", "0.4,0.35,0.1,0.12", "rim and signature",
        ]  # fmt: skip
        assert shown.preset.taken == "product"
        await pilot.press("down", "down", "backspace", "5", "enter")
        await eventually(lambda: "Bowl, glaze blue is changed" in lines(app)[0])
        assert setup(folder, "Bowl, glaze blue").needed == 5
        await eventually(lambda: "2 of 5" in screen(app))


REFUSED: list[tuple[str, str, str]] = [
    ("", "", "no name"),
    ("the MAKER", "", "is that of The maker already"),
    ("next", "", "asks for the setup that follows"),
    ("x" * 101, "", "at most 100 characters, not 101"),
    ("Lid", "0.4,1,2", "four numbers are wanted"),
    ("Lid", "0.4,1,2,3", "px and fractions are mixed"),
    ("Lid", "a,b", "it is not made of numbers"),
]


@pytest.mark.parametrize(("name", "area", "why"), REFUSED)
async def test_what_cannot_be_is_refused_in_words(
    folder: Path, record: Record, name: str, area: str, why: str
) -> None:
    session(folder, record)
    before = listed(folder)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        shown = await form(app, pilot, "a")
        shown.entries["name"].value = name
        shown.entries["area"].value = area
        await pilot.press("enter")
        await eventually(lambda: why in " ".join(screen(app).split()))
        assert app.screen is shown
        assert listed(folder) == before


@pytest.mark.parametrize("column", ["name", "notes"])
async def test_what_is_pasted_is_looked_at(folder: Path, record: Record, column: str) -> None:
    session(folder, record)
    before = listed(folder)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        shown = await form(app, pilot, "a")
        entry = shown.entries[column]
        entry.focus()
        pasted(app, "Bowl\x1b[31m\x07")
        await eventually(lambda: "holds control characters: not taken" in screen(app))
        assert entry.value == ""
        pasted(app, "two\nlines\t here")
        await eventually(lambda: entry.value == "two lines here")
        entry.value = ""
        pasted(app, "窯" * 4_000)
        await eventually(lambda: len(entry.value) == 4_000)
        await pilot.pause()
        assert "\x1b" not in screen(app)
        shown.entries["name"].value = shown.entries["name"].value or "Lid"
        await pilot.press("enter")
        most = "100" if column == "name" else "1,000"
        await eventually(lambda: f"{most} characters, not 4,000" in " ".join(screen(app).split()))
        assert listed(folder) == before


async def test_letters_that_are_keys_elsewhere_are_typed(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await form(app, pilot, "a")
        await typed(pilot, "quiet stone, fog")
        await pilot.press("enter")
        await eventually(lambda: "quiet stone, fog" in listed(folder))
        assert app.return_code is None


async def test_a_setup_with_frames_is_not_removed_and_one_without_is(
    folder: Path, record: Record
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("home", "x")
        await eventually(lambda: "Bowl, glaze blue: it has frames; give it 0" in lines(app)[0])
        await pilot.press("end", "x")
        await eventually(lambda: "Stamp on the foot is off the shot list" in lines(app)[0])
        assert len(listed(folder)) == 3
        await eventually(lambda: "Stamp on the foot" not in "\n".join(lines(app)[1:]))


async def test_somebody_says_to_be_on_it(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("home", "o")
        await pilot.pause()
        assert Reader(folder).progress().reshoots[0].on_it is None
        await pilot.press("down", "o")
        await eventually(lambda: "somebody is on it: The maker" in lines(app)[0])
        await eventually(lambda: "on it since" in screen(app))
        assert "o on it" not in keys(app)


async def test_a_setup_is_found_by_a_part_of_its_name_or_code(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await opened(app, pilot)
        await pilot.press("slash", *"STAMP")
        await eventually(lambda: shown.table.cursor == 3)
        await pilot.press("enter", "slash")
        shown.finding.value = "bowl-0"
        await eventually(lambda: shown.table.cursor == 0)
        shown.finding.value = "no such \x07 thing"
        await eventually(lambda: "no setup has no such" in lines(app)[0])
        assert "\x07" not in screen(app)
        await pilot.press("escape")
        assert isinstance(app.screen, ShotList)
        assert shown.focused is None
        await pilot.press("q")
        await pilot.pause()
        assert app.return_code == 0


async def test_a_record_that_cannot_be_written_is_told_and_nothing_is_made(
    folder: Path, record: Record
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        (folder / NAME).rename(folder / "elsewhere")
        await pilot.press("end", "x")
        await eventually(lambda: "the record cannot be written" in lines(app)[0])
        shown = await form(app, pilot, "a")
        shown.entries["name"].value = "Lid"
        await pilot.press("enter")
        await eventually(lambda: "the record cannot be written" in screen(app))
        assert app.screen is shown
        assert not (folder / NAME).exists()


async def test_ten_thousand_setups_are_as_quick_to_go_through(folder: Path, record: Record) -> None:
    record.open()
    setups.put_list(folder, [Setup(f"Tea bowl {n:05}") for n in range(10_000)], "list")
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "0 of 10,000 covered" in screen(app), 10.0)
        await opened(app, pilot)
        for key, name in (("end", "09999"), ("pageup", "09981"), ("home", "00000")):
            await pilot.press(key)
            assert f"Tea bowl {name}" in screen(app)
        # Only what is in view is drawn, so that the list's length is nothing to a key.
        assert len(app.screen.query("*")) < 10


async def test_the_list_changes_under_ones_hands(folder: Path, record: Record) -> None:
    ids = session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await opened(app, pilot)
        setups.remove(folder, ids["Stamp on the foot"])
        setups.move(folder, ids["Kiln, door open"], -2)
        await eventually(lambda: shown.table.cursor == 0)
        assert shown.table.chosen is not None
        assert shown.table.chosen.setup.name == "Kiln, door open"
        record.add(of(40, ids["Kiln, door open"], Verdict.SHARP, datetime.now(UTC)))
        await eventually(lambda: "▸● Kiln, door open" in screen(app))


@pytest.mark.parametrize("coloured", [True, False])
def test_it_works_with_and_without_colour_in_a_terminal(
    folder: Path, record: Record, coloured: bool
) -> None:
    session(folder, record)
    environment = {} if coloured else {"NO_COLOR": "1"}
    with Terminal(str(folder), environment=environment) as terminal:
        terminal.wait_for("bowl-0011", "shot list")
        terminal.type("g")
        terminal.wait_for("Stamp on the foot", "back")
        terminal.type("a")
        terminal.wait_for("has to be there")
        terminal.type("\x1b[200~A lid\x1b[201~")
        terminal.wait_for("A lid")
        terminal.type("\r")
        terminal.wait_for("is on the shot list")
        terminal.type("\x1b")
        time.sleep(0.3)
        terminal.type("q")
        assert terminal.ended() == 0
        assert terminal.restored
        assert b"\x1b[5m" not in terminal.written  # nothing blinks
    assert "A lid" in listed(folder)
