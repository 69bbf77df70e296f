from __future__ import annotations

import asyncio
import sqlite3
import time
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.dashboard.demo import crop, drifting, entry
from tests.dashboard.looking import eventually, keys, lines, screen
from tether.dashboard.app import Dashboard
from tether.model import Cause, EdgeWidth, Exposure, Rect, Verdict
from tether.session.lock import Lock
from tether.session.record import Place, Record, WatchState

SIZES = [(80, 24), (160, 48)]


def fresh(number: int, verdict: Verdict = Verdict.SOFT, **more: object):  # type: ignore[no-untyped-def]
    more.setdefault("arrived", datetime.now(UTC))
    if verdict is Verdict.SOFT:
        more = {"cause": Cause.DEFOCUS, "width": 5.0, **more}
    return entry(number, verdict, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("size", SIZES)
async def test_a_soft_frame_is_told_within_a_moment(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    record.add(entry(1))
    app = Dashboard(folder)
    async with app.run_test(size=size):
        await eventually(lambda: app.band.shown and app.band.shown.name == "bowl-0001")
        record.add(fresh(2))
        took = await eventually(
            lambda: (
                "bowl-0002  defocus  5.0 px, limit 3.5" in screen(app)
                and "\n Focus again" in screen(app)
                and "▲ 1 soft frame not seen" in screen(app)
            )
        )
        assert took < 2.0  # 0.6 on a quiet machine: the verdict before has its half second
        told = lines(app)
        letters = told[1:7] if size[1] == 24 else told[2:12]
        assert any("██████ ██████" in line or "▄██████████▄" in line for line in letters)
        assert app.band.shown is not None
        assert app.band.shown.verdict == "soft"
        assert max(map(len, told)) == size[0]


async def test_the_bell_rings_once_a_soft_frame_and_never_for_history(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung = []
    monkeypatch.setattr(Dashboard, "bell", lambda self: rung.append(1))
    record.add(entry(1, Verdict.SOFT, width=5.0))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: app.frames.rows)
        assert not rung
        assert "no soft frame unseen" in screen(app)
        record.add(fresh(2))
        await eventually(lambda: rung)
        # The same frame, changed but as soft.
        made = entry(2)
        raws = ((Path("2.nef"), made.file),)
        record.renew(Place(2, Path("2.jpg"), "bowl-0002", made.file, raws))
        record.add(fresh(3, Verdict.SHARP))
        await eventually(lambda: len(app.frames.rows) == 3)
        assert len(rung) == 1


@pytest.mark.parametrize("size", SIZES)
async def test_a_soft_frame_is_completed_where_it_stands_without_a_second_bell(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    rung = []
    monkeypatch.setattr(Dashboard, "bell", lambda self: rung.append(1))
    app = Dashboard(folder)
    record.add(entry(1))
    async with app.run_test(size=size) as pilot:
        await eventually(lambda: app.frames.rows)
        first = fresh(2, cause=None)
        record.add(replace(first, unfinished=True))
        await eventually(lambda: rung and app.band.shown and app.band.shown.name == "bowl-0002")
        await pilot.press("f")
        assert " of frame" not in screen(app)
        found = Rect(0, 0, 256, 256), EdgeWidth(2.1, 1.8, 2.5)
        whole = replace(
            first.judgement, cause=Cause.FOCUS_ELSEWHERE, sharpest=found, size=(6000, 4000)
        )
        record.add(replace(first, judgement=whole, row=2))
        await eventually(
            lambda: (
                "2.1 px, upper left of frame" in screen(app)
                and "bowl-0002  focus elsewhere" in screen(app)
            )
        )
        assert len(rung) == len(app.frames.unseen) == 1


@pytest.mark.parametrize("size", SIZES)
async def test_a_verdict_that_a_face_found_late_changes_is_shown_and_heard_where_the_frame_stands(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    rung = []
    monkeypatch.setattr(Dashboard, "bell", lambda self: rung.append(1))
    record.add(entry(1, arrived=datetime.now(UTC)))
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        sharp, soft = fresh(2, Verdict.SHARP, width=1.9), fresh(2, width=13.5)
        record.add(replace(sharp, unfinished=True))
        await eventually(lambda: app.band.shown and app.band.shown.name == "bowl-0002")
        assert not rung
        narrow = bar(app)
        record.add(replace(soft, row=2))
        await eventually(lambda: "bowl-0002  defocus  13.5 px, limit 3.5" in screen(app) and rung)
        assert app.band.shown is not None and app.band.shown.verdict == "soft"
        assert " 13.5 " in bar(app)
        # And back: no frame is left to be seen, and the chart has its scale again.
        record.add(replace(sharp, row=2))
        await eventually(lambda: app.band.shown and app.band.shown.verdict == "sharp")
        await pilot.pause()
        assert (bar(app), len(rung), app.frames.unseen) == (narrow, 1, [])


def bar(app: Dashboard) -> str:
    """The chart's line of the second frame, without the time that it begins with."""
    line = next(line for line in lines(app) if line[:2] in {"▌●", "▌▲"} and "bowl-0002" in line)
    return line[line.index("bowl-0002") : 80]


async def test_the_bell_can_be_silenced(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Dashboard, "bell", lambda self: pytest.fail("it rang"))
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(80, 24)):
        record.add(fresh(1))
        await eventually(lambda: app.frames.unseen)


async def test_soft_frames_stay_unseen_until_somebody_says_so(folder: Path, record: Record) -> None:
    app = Dashboard(folder)
    record.add(entry(1))
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: app.frames.rows)
        record.add(fresh(4))
        record.add(fresh(7))
        record.add(fresh(8, Verdict.SHARP))
        await eventually(lambda: len(app.frames.rows) == 4)
        await pilot.press("down", "n", "f", "f")
        await pilot.pause()
        assert "2 soft frames not seen yet: bowl-0007, bowl-0004" in screen(app)
        assert " s seen" in keys(app)
        await pilot.press("S")  # the capitals are locked
        await pilot.pause()
        assert "not seen" not in screen(app)
        assert " s seen" not in keys(app)


async def test_a_frame_judged_anew_as_sharp_is_unseen_no_more(folder: Path, record: Record) -> None:
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        record.add(fresh(1))
        await eventually(lambda: app.frames.unseen)
        record.add(replace(fresh(1, Verdict.SHARP), row=1))
        await eventually(lambda: not app.frames.unseen)


@pytest.mark.parametrize("size", [*SIZES, (20, 5)])
async def test_names_are_text_whatever_is_in_them(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    lens = Exposure(lens="[bold]\x1b]0;owned\x07 lens\n2", body="[/]\u202ebody")
    name = "[red]\x1b[31m\n一[/red]"
    record.add(fresh(1, name=name, exposure=lens, error="\x1b[2J[blink]bad[/blink]"))
    app = Dashboard(folder)
    async with app.run_test(size=size) as pilot:
        await eventually(lambda: app.band.shown and app.band._told[0])
        await pilot.press("f")
        await pilot.pause()
        told = screen(app)
        assert "\x1b" not in told
        assert "\u202e" not in told
        assert "\x07" not in told
        if size != (20, 5):
            assert r"[red]\x1b[31m\n一[/red]" in told
            assert r"\x1b[2J[blink]bad" in told
            assert r"[bold]\x1b]0;owned\x07 len" in told
            assert r"[/]\u202ebody" in told


async def test_a_record_that_is_not_there_is_told_in_words_and_comes(folder: Path) -> None:
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: "no record here yet" in screen(app))
        record = Record(folder)
        record.add(fresh(1))
        await eventually(lambda: "bowl-0001" in screen(app) and "no record" not in screen(app))
        assert app.frames.unseen  # it came in while we looked on
        away = folder.with_name("away")
        folder.rename(away)
        await eventually(lambda: "the folder is gone" in screen(app))
        assert "bowl-0001" in screen(app)
        away.rename(folder)
        record.add(fresh(2, Verdict.SHARP))
        await eventually(lambda: "bowl-0002" in screen(app) and "gone" not in screen(app))
        assert len(app.frames.unseen) == 1
        record.close()


async def test_another_record_in_the_same_place_takes_over(folder: Path, record: Record) -> None:
    for number in range(5):
        record.add(entry(number, name=f"old-{number}"))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: len(app.frames.rows) == 5)
        record.close()
        other = folder.with_name("other")
        other.mkdir()
        replacing = Record(other)
        replacing.add(entry(1, Verdict.SOFT, name="new-1"))
        replacing.close()
        for left in folder.iterdir():
            left.unlink()
        (other / record.path.name).rename(record.path)
        await eventually(lambda: "new-1" in screen(app))
        assert len(app.frames.rows) == 1
        assert not app.frames.unseen  # history: it arrived before


async def test_a_damaged_record_is_a_state_and_no_crash(folder: Path) -> None:
    (folder / "tether-record.sqlite").write_bytes(b"no database at all" * 100)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: "not a database" in screen(app))


async def test_a_frame_whose_evidence_is_damaged_is_no_crash(folder: Path, record: Record) -> None:
    record.add(entry(1))
    with closing(sqlite3.connect(record.path)) as opened:
        opened.execute("""UPDATE frames SET evidence = '{"against": {"frame": "bowl"}}'""")
        opened.commit()
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: app.parts.detail is not None)
        assert app.parts.detail is not None
        assert "what a frame was judged by is damaged" in app.parts.detail.words
        assert "bowl-0001" in screen(app)


async def test_a_frame_renamed_over_another_takes_its_place(folder: Path, record: Record) -> None:
    record.add(entry(1))
    record.add(entry(2))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: len(app.frames.rows) == 2)
        record.renew(Place(1, Path("2.jpg"), "bowl-0002", entry(1).file))
        record.remove(2)
        await eventually(lambda: len(app.frames.rows) == 1)
        assert " 1 frame " in screen(app)


async def test_the_record_losing_its_last_frame_is_noticed(folder: Path, record: Record) -> None:
    for number in (1, 2, 3):
        record.add(entry(number))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: len(app.frames.rows) == 3)
        record.remove(3)
        await eventually(lambda: [row.id for row in app.frames.rows] == [1, 2])
        record.add(entry(4))
        await eventually(lambda: len(app.frames.rows) == 3 and "bowl-0004" in screen(app))


async def test_counts_and_the_watch_are_told(folder: Path, record: Record) -> None:
    for one in drifting():
        record.add(one)
    record.tell(WatchState(waiting=3))
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)):
        told = "46 frames   ● 27 sharp   ◐ 12 borderline   ▲ 6 soft   ○ 1 unjudged   3 waiting"
        await eventually(lambda: told in screen(app) and "no watch is running" in screen(app))
        with Lock(folder):
            await eventually(lambda: lines(app)[0].rstrip().endswith("watching"))
            record.tell(WatchState(there=False, line="card taken out"))
            await eventually(lambda: "the folder is away: card taken out" in screen(app))
            record.tell(WatchState())
            await eventually(lambda: "away" not in screen(app))


async def test_how_the_camera_is_doing_is_told(folder: Path, record: Record) -> None:
    record.add(entry(1))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        with Lock(folder):
            record.tell(WatchState(camera="catching up 3 of 7"))
            await eventually(lambda: "watching: catching up 3 of 7" in lines(app)[0])
            record.tell(WatchState(camera_there=False, camera="waiting for camera: none\x1b is"))
            await eventually(lambda: r"waiting for camera: none\x1b is" in lines(app)[0])
            assert "watching" not in lines(app)[0]
            record.tell(WatchState(camera="connected: Studio One"))
            await eventually(lambda: "watching: connected: Studio One" in lines(app)[0])


@pytest.mark.parametrize(("size", "line"), [((80, 24), 0), ((160, 48), 0), ((20, 5), -2)])
async def test_a_notice_is_told_and_goes(
    folder: Path, record: Record, size: tuple[int, int], line: int
) -> None:
    record.add(entry(1))
    notice = ["disk full\x1b[31m"]
    app = Dashboard(folder, notice=lambda: notice[0])
    async with app.run_test(size=size):
        await eventually(lambda: r"disk full\x1b[31m" in lines(app)[line])
        notice[0] = ""
        await eventually(lambda: "disk" not in screen(app))


async def test_the_selection_follows_the_newest_until_somebody_moves(
    folder: Path, record: Record
) -> None:
    for number in range(1, 60):
        record.add(entry(number, arrived=datetime.now(UTC) - timedelta(minutes=60 - number)))
    app = Dashboard(folder)

    def selected() -> str:
        row = app.frames.get(app.chart.selected)
        return row.name if row else ""

    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: selected() == "bowl-0059")
        record.add(fresh(60, Verdict.SHARP))
        await eventually(lambda: selected() == "bowl-0060")
        assert "newest" not in keys(app)
        await pilot.press("pagedown", "down")
        before = selected()
        where = next(at for at, line in enumerate(lines(app)) if before in line)
        record.add(fresh(61, Verdict.SHARP))
        await eventually(lambda: "61 frames" in screen(app))
        assert selected() == before
        assert before in lines(app)[where]  # and it stays where it is
        assert " n newest" in keys(app)
        await pilot.press("end")
        assert selected() == "bowl-0001"
        await pilot.press("home")
        assert selected() == "bowl-0061"
        await pilot.press("end", "n")
        record.add(fresh(62, Verdict.SHARP))
        await eventually(lambda: selected() == "bowl-0062")


async def test_frames_stand_in_the_order_of_their_arrival(folder: Path, record: Record) -> None:
    now = datetime.now(UTC)
    for number, ago in ((1, 30), (2, 10), (3, 20)):
        record.add(entry(number, arrived=now - timedelta(seconds=ago)))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: len(app.frames.rows) == 3)
        assert [row.id for row in app.frames.rows] == [1, 3, 2]
        assert app.band.shown is not None
        assert app.band.shown.name == "bowl-0002"


async def test_at_80x24_picture_and_facts_take_turns(folder: Path, record: Record) -> None:
    for one in drifting():
        record.add(one)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "36×22 of 200×200 px" in screen(app))
        assert " f facts" in keys(app)
        await pilot.press("f")
        await eventually(lambda: "1/60 s" in screen(app))
        assert "4.50 px (3.98–5.02), 16.9 µm" in screen(app)
        assert "200×200" not in screen(app)
        assert " f focus area" in keys(app)
        assert "pan" not in keys(app)


async def test_at_160x48_everything_is_there(folder: Path, record: Record) -> None:
    moved = fresh(1, width=6.0, cause=Cause.CAMERA_SHAKE, crop=crop(6.0))
    record.add(moved)
    app = Dashboard(folder)
    async with app.run_test(size=(160, 48)):
        await eventually(lambda: "of 200×200 px" in screen(app))
        for told in (
            "Use 1/125 s or shorter",
            "6.00 px (5.39–6.61), 22.6 µm",
            "4.80 px in the narrowest direction",
            "34°, 2.3 times wider along it",
            "camera focus point, 320×320 px at 2840, 1650",
            "1/60 s, f/2.8, 100 mm, ISO 200",
            "Macro 100mm F2.8 on Studio Body II",
            "latency 0.41 s",
        ):
            assert told in screen(app)


@pytest.mark.parametrize("width", [20, 66, 156])
async def test_any_size_from_20x5_can_be_turned_to(
    folder: Path, record: Record, width: int
) -> None:
    for one in drifting():
        record.add(one)
    app = Dashboard(folder)
    async with app.run_test(size=(20, 5)) as pilot:
        await eventually(lambda: "SOFT bowl-0046" in screen(app))
        for height in (5, 9, 13, 20, 33, 48):
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            told = lines(app)
            assert len(told) == height
            assert {len(line) for line in told} <= {width}
            assert " q leave" in keys(app)
            assert "0046" in screen(app)


async def test_the_band_does_not_flicker_in_a_burst(folder: Path, record: Record) -> None:
    app = Dashboard(folder)
    shown: list[str] = []
    async with app.run_test(size=(80, 24)):
        began = time.monotonic()
        for number in range(25):
            record.add(fresh(number, Verdict.SHARP if number % 2 else Verdict.SOFT))
            await asyncio.sleep(0.04)
            row = app.band.shown
            if row is not None and shown[-1:] != [row.name]:
                shown.append(row.name)
        assert 1 < len(shown) <= 2 + 2 * (time.monotonic() - began)
        await eventually(lambda: app.band.shown and app.band.shown.name == "bowl-0024")


async def test_what_was_left_aside_of_a_frame_is_told_where_nothing_is_to_be_changed(
    folder: Path, record: Record
) -> None:
    why = "not taken for a slate: its code holds 150 characters, more than 100"
    made = entry(1, Verdict.SHARP)
    record.add(replace(made, judgement=replace(made.judgement, notes=(why,))))
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(80, 24)):
        await eventually(lambda: why in screen(app))
