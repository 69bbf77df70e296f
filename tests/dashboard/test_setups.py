"""What the dashboard shows of setups, reshoots and slates."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.dashboard.demo import entry
from tests.dashboard.looking import eventually, keys, lines, screen
from tests.dashboard.studio import SETUPS, of, raise_reshoots, session, shot_list
from tether.dashboard.app import Dashboard
from tether.model import Cause, Setup, Verdict
from tether.session import reshoots, setups, turns
from tether.session.reader import Reader
from tether.session.record import Record

SIZES = [(60, 20), (80, 24), (160, 48)]
KILN = "setup Kiln, door open  □ 0 of 1"


@pytest.mark.parametrize("size", SIZES)
async def test_the_setup_of_now_is_told_with_what_it_has_and_needs(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=size):
        await eventually(lambda: f"{KILN} sharp · 1 try" in screen(app))
        assert "▲ reshoot: The maker 1 of 3" in screen(app)
        assert max(map(len, lines(app))) == size[0]
        if size[0] >= 80:
            assert "next: Stamp on the foot" in screen(app)
        # The band, the chart and, where there was room before, the picture are still there.
        assert "bowl-0011" in screen(app)
        assert "3.6" in screen(app)
        if size[0] >= 80:
            await eventually(lambda: "of 200×200 px" in screen(app))


async def test_without_a_shot_list_no_line_is_spent(folder: Path, record: Record) -> None:
    record.add(entry(1))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: "bowl-0001" in screen(app))
        before = app.arrangement.main
        assert app.arrangement.setup == app.arrangement.reshoot == 0
        shot_list(folder)
        await eventually(lambda: "no setup now" in screen(app))
        assert "next: Bowl, glaze blue" in screen(app)
        assert app.arrangement.main == before - 1


async def test_a_reshoot_comes_says_who_is_on_it_and_goes(folder: Path, record: Record) -> None:
    ids = session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: "▲ reshoot: The maker 1 of 3" in screen(app))
        reshoots.take(folder, Reader(folder).progress().reshoots[0].id)
        told = f"The maker 1 of 3, on it since {datetime.now().strftime('%H:%M')}"
        await eventually(lambda: told in screen(app))
        for number in (21, 22):  # farther apart than a burst
            at = datetime.now(UTC) + timedelta(seconds=3 * number)
            record.add(of(number, ids["The maker"], Verdict.SHARP, at))
        raise_reshoots(folder)
        await eventually(lambda: "▲ reshoot" not in screen(app))
        assert app.arrangement.reshoot == 0


async def test_at_160x48_the_list_stands_below_the_chart(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)):
        await eventually(lambda: "shot list: 2 of 4 covered" in screen(app))
        await eventually(lambda: "■■    2 of 2" in screen(app) and "0 of any" in screen(app))
        told = {line[3:20].strip(): line[:80] for line in lines(app) if " of " in line[:50]}
        assert told["Bowl, glaze blue"].startswith(" ● ")
        assert "■■    2 of 2" in told["Bowl, glaze blue"]
        assert told["The maker"].startswith(" ▲ ")
        assert "■□□   1 of 3     reshoot" in told["The maker"]
        assert told["Kiln, door open"].startswith("▸○ ")
        assert "0 of any" in told["Stamp on the foot"]
        await eventually(lambda: "1:1" in screen(app) and "camera focus point" in screen(app))


async def test_at_80x24_picture_facts_and_list_take_turns(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "f facts" in keys(app) and "of 200×200 px" in screen(app))
        await pilot.press("f")
        await eventually(lambda: "Kiln, door open" in screen(app) and "f list" in keys(app))
        assert "3.60 px" in screen(app)
        await pilot.press("f")
        await eventually(lambda: "shot list: 2 of 4 covered" in screen(app))
        assert "f focus area" in keys(app)
        await pilot.press("f")
        await eventually(lambda: "of 200×200 px" in screen(app))


async def test_a_slate_is_a_line_of_its_own_and_no_frame_that_went_unjudged(
    folder: Path, record: Record
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)) as pilot:
        await eventually(lambda: "▣ 13:03:41 slate-0010 slate: Kiln, door open ──" in screen(app))
        assert "8 frames   ● 3 sharp   ◐ 2 borderline   ▲ 3 soft   ○ 0 unjudged" in screen(app)
        await pilot.press("down")
        await eventually(lambda: "▣ slate  KILN" in screen(app))
        assert "o overrule" not in keys(app)
        assert "r reference" not in keys(app)


@pytest.mark.parametrize("size", [*SIZES, (20, 5)])
async def test_after_a_slate_the_band_names_the_setup_instead_of_a_verdict(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    record.open()
    ids = shot_list(folder)
    name = "窯の蓋" * 3 + " lid"
    lid = setups.add(folder, Setup(name, "LID", 2), "screen")
    now = datetime.now(UTC)
    record.add(of(1, ids["The maker"], Verdict.SOFT, now, width=5.0, cause=Cause.DEFOCUS))
    app = Dashboard(folder)
    async with app.run_test(size=size):
        await eventually(lambda: app.band.shown is not None)
        turns.turn(folder, lid, "slate")
        record.add(of(2, lid, Verdict.UNJUDGED, now, width=None, slate="LID", name="slate-0002"))
        await eventually(lambda: app.band.shown and app.band.shown.slate == "LID")
        await eventually(lambda: "▣ 窯の蓋" in screen(app))
        assert "UNJUDGED" not in screen(app)
        assert "██" not in "".join(lines(app)[:12])


async def test_a_slate_whose_code_was_not_used_opens_nothing(folder: Path, record: Record) -> None:
    record.open()
    ids = shot_list(folder)
    bowl = ids[SETUPS[0].name]
    code = "\x1b[31m" + "9" * 4_000
    record.add(
        of(1, bowl, Verdict.UNJUDGED, datetime.now(UTC), width=None, slate=code, name="slate-1")
    )
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "▣ slate" in screen(app))
        assert "slate: " not in screen(app)
        await pilot.press("f")
        await pilot.pause()
        assert "\x1b" not in screen(app)


async def test_where_the_setup_changes_the_chart_names_it(folder: Path, record: Record) -> None:
    record.open()
    ids = shot_list(folder)
    names = [SETUPS[0].name, SETUPS[0].name, "The maker", "The maker"]
    for number, name in enumerate(names, 1):
        record.add(of(number, ids[name], Verdict.SHARP, datetime.now(UTC)))
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)):
        await eventually(lambda: "Bowl, glaze blue" in screen(app))
        await eventually(lambda: app.shots.progress.setups)
        named = {
            number: line[:80].rstrip().endswith(name)
            for number, name in enumerate(names, 1)
            for line in lines(app)
            if f"bowl-{number:04}  " in line[:40] and "●" in line[:3]
        }
        assert named == {1: True, 2: False, 3: True, 4: False}


async def test_a_setup_renamed_is_named_so_everywhere(folder: Path, record: Record) -> None:
    ids = session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)):
        await eventually(lambda: screen(app).count("Kiln, door open") >= 3)
        setups.change(folder, ids["Kiln, door open"], Setup("Kiln, closed", "KILN", 1))
        await eventually(lambda: "Kiln, door open" not in screen(app))
        assert screen(app).count("Kiln, closed") >= 3


async def test_the_next_setup_is_turned_to_by_a_key_and_that_is_said(
    folder: Path, record: Record
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: KILN in screen(app))
        await pilot.press("t")
        await eventually(lambda: "Stamp on the foot is the setup now" in lines(app)[0])
        await eventually(lambda: "setup Stamp on the foot" in screen(app))
        assert "t next setup" not in keys(app)
        await pilot.press("t")
        await eventually(lambda: "is the last setup on the list" in lines(app)[0])
        await eventually(lambda: "studio" in lines(app)[0] or "shoot" in lines(app)[0], 8.0)


@pytest.mark.parametrize("size", [(20, 5), (80, 24)])
async def test_without_a_list_the_key_says_so(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    record.add(entry(1))
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        await eventually(lambda: app.frames.rows)
        await pilot.press("t")
        await eventually(lambda: "there is no shot" in screen(app))
