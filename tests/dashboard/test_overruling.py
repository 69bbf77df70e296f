"""The photographer's word: said by key, kept beside what was measured, and taken back."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from tests.dashboard.looking import eventually, keys, lines, screen
from tests.dashboard.studio import of, session
from tether.dashboard.app import Dashboard
from tether.dashboard.overruling import READY, Overruling
from tether.model import Cause, Verdict
from tether.session.reader import Reader, Row
from tether.session.record import Record
from tether.session.schema import NAME

SIZES = [(60, 20), (80, 24), (160, 48)]


def soft(record: Record) -> None:
    """One soft frame that has just come, 5 px wide (4.45 to 5.55) against a limit of 3.5."""
    now = datetime.now(UTC)
    record.add(of(1, None, Verdict.SOFT, now, width=5.0, cause=Cause.DEFOCUS))


def row(folder: Path) -> Row:
    return Reader(folder).rows_since(0)[-1]


async def opened(app: Dashboard, pilot: Pilot[int]) -> Overruling:
    await eventually(lambda: app.chart.selected)
    await pilot.press("o")
    await eventually(lambda: isinstance(app.screen, Overruling))
    await pilot.pause()
    assert isinstance(app.screen, Overruling)
    return app.screen


async def closed(app: Dashboard) -> None:
    await eventually(lambda: not isinstance(app.screen, Overruling))


@pytest.mark.parametrize("size", SIZES)
async def test_one_key_a_reason_and_the_verdict_stands_everywhere(
    folder: Path, record: Record, size: tuple[int, int]
) -> None:
    record.open()
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=size) as pilot:
        soft(record)
        await eventually(lambda: app.band.shown and app.frames.unseen)
        assert "▲ 1 soft frame not seen" in screen(app)
        shown = await opened(app, pilot)
        # A soft frame is not overruled as soft.
        against = [one for one in READY if one[0] is Verdict.SHARP]
        assert "missed, whatever it measures" not in screen(app)
        for place, (verdict, reason) in enumerate(against, 1):
            assert any(
                f"{place} " in one and verdict in one and reason in one for one in lines(app)
            )
        assert "measured ▲ soft  5.0 px, limit 3.5" in screen(app)
        for key in ("Enter take", "Esc back", "w own words"):
            assert key in keys(app)
        assert shown.follows is False
        await pilot.press("2", "enter")
        await closed(app)
        await eventually(lambda: "† overruled, measured soft" in screen(app))
        # What was measured is kept beside it.
        assert Reader(folder).overrule(1) == ("sharp", "sharp enough for its use")
        assert (row(folder).verdict, row(folder).stands) == ("soft", "sharp")
        assert Reader(folder).leeway() is None
        await eventually(
            lambda: any(
                one.strip().endswith("†1" if size[0] < 80 else "† 1 overruled")
                for one in lines(app)
            )
        )
        assert app.frames.counts == {"sharp": 1}
        assert "not seen yet" not in screen(app)
        assert any(one.startswith("▌●†") for one in lines(app))
        if size[0] >= 160:
            assert "† soft" in screen(app)  # beside its bar, where there is no room for more
            await eventually(lambda: "sharp: sharp enough for its use" in screen(app))
            assert "† overruled, measured soft, defocus" in screen(app)


async def test_a_reason_in_ones_own_words(folder: Path, record: Record) -> None:
    soft(record)
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await opened(app, pilot)
        await pilot.press("w", "enter")
        await eventually(lambda: "a reason is wanted" in screen(app))
        assert app.focused is not None
        app.focused.post_message(events.Paste("veil\x1b[2J"))
        await eventually(lambda: "control characters: not taken" in screen(app))
        await pilot.press(*"quiet,", "space", *"1l", "enter")
        assert shown.follows is False
        assert app.return_code is None
        assert "v sharp or soft" not in keys(app)
        await pilot.press("v", "enter")
        await closed(app)
        await eventually(lambda: Reader(folder).overrule(1) == ("sharp", "quiet, 1l"))


async def test_a_borderline_frame_may_be_either(folder: Path, record: Record) -> None:
    record.add(of(1, None, Verdict.BORDERLINE, datetime.now(UTC), width=3.4))
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(160, 48)) as pilot:
        await opened(app, pilot)
        lo, hi = row(folder).edge_width_lo, row(folder).edge_width_hi
        assert lo is not None
        assert hi is not None
        assert f"3.5 px would become {hi:.1f} px" in screen(app)
        await pilot.press("4")
        assert f"3.5 px would become {lo * 0.999:.1f} px" in screen(app)
        await pilot.press("w", *"so", "enter", "v", "v", "v", "enter")
        await closed(app)
        await eventually(lambda: Reader(folder).overrule(1) == ("sharp", "so"))


async def test_a_reason_of_any_length_is_cut_and_never_breaks_the_screen(
    folder: Path, record: Record
) -> None:
    soft(record)
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(160, 48)) as pilot:
        shown = await opened(app, pilot)
        await pilot.press("w")
        shown.reason.value = "窯" * 4_000
        await pilot.press("enter", "enter")
        await closed(app)
        await eventually(lambda: Reader(folder).overrule(1))
        assert Reader(folder).overrule(1) == ("sharp", "窯" * 200)
        await eventually(lambda: "窯窯" in screen(app))


async def test_the_limit_follows_only_when_asked_and_what_it_becomes_is_said(
    folder: Path, record: Record
) -> None:
    soft(record)
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(160, 48)) as pilot:
        await opened(app, pilot)
        # The upper end of its interval: with that limit this frame is surely sharp.
        hi = row(folder).edge_width_hi
        assert hi is not None
        assert f"limit follows: no; 3.5 px would become {hi:.1f} px" in screen(app)
        await pilot.press("l")
        assert "limit follows: yes" in screen(app)
        await pilot.press("1", "enter")
        await closed(app)
        await eventually(lambda: Reader(folder).leeway())
        fed = Reader(folder).leeway()
        assert fed is not None
        assert fed.times * 3.5 == pytest.approx(hi)
        await eventually(lambda: f"fed by bowl-0001: {fed.times:.2f} times the" in screen(app))
        await opened(app, pilot)
        assert "u settings' limit" in keys(app)
        await pilot.press("u")
        await closed(app)
        await eventually(lambda: Reader(folder).leeway() is None)
        await eventually(lambda: "fed by" not in screen(app))
        assert row(folder).stands == "sharp"


async def test_it_is_taken_back_without_ringing(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung: list[int] = []
    monkeypatch.setattr(Dashboard, "bell", lambda self: rung.append(1))
    record.open()
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        soft(record)
        await eventually(lambda: rung)
        await opened(app, pilot)
        assert "x as measured" not in keys(app)
        await pilot.press("x", "1", "enter")
        await closed(app)
        await eventually(lambda: app.frames.counts["sharp"] == 1)
        await opened(app, pilot)
        assert "stands as sharp" in screen(app)
        assert "x as measured" in keys(app)
        await pilot.press("x")
        await closed(app)
        await eventually(lambda: app.frames.counts["soft"] == 1)
        assert Reader(folder).overrule(1) is None
        assert len(rung) == 1
        assert "not seen yet" not in screen(app)  # whoever said that has seen it


async def test_a_frame_that_was_not_measured_is_overruled_but_feeds_no_limit(
    folder: Path, record: Record
) -> None:
    record.add(of(1, None, Verdict.UNJUDGED, datetime.now(UTC), width=None))
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        shown = await opened(app, pilot)
        assert "nothing was measured that the limit could follow" in screen(app)
        assert " l limit" not in keys(app)
        await pilot.press("l")
        assert not shown.follows
        await pilot.press("3", "enter")
        await closed(app)
        await eventually(lambda: row(folder).stands == "sharp")


async def test_it_covers_a_setup(folder: Path, record: Record) -> None:
    session(folder, record)
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await eventually(lambda: "□ 0 of 1 sharp" in screen(app))
        await opened(app, pilot)
        await pilot.press("1", "enter")
        await eventually(lambda: "■ 1 of 1 sharp" in screen(app))


async def test_escape_leaves_it_as_it_was_and_a_slate_is_not_overruled(
    folder: Path, record: Record
) -> None:
    session(folder, record)
    app = Dashboard(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("w", "a", "escape", "escape")
        await closed(app)
        assert all(one.overruled is None for one in Reader(folder).rows_since(0))
        await pilot.press("down", "o")
        await pilot.pause()
        assert not isinstance(app.screen, Overruling)


async def test_where_it_cannot_be_written_it_says_so_and_stays(
    folder: Path, record: Record
) -> None:
    soft(record)
    app = Dashboard(folder, bell=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        (folder / NAME).rename(folder / "elsewhere")
        await pilot.press("1", "enter")
        await eventually(lambda: "the record cannot be written" in screen(app))
        assert isinstance(app.screen, Overruling)
        assert not (folder / NAME).exists()
