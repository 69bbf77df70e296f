from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from tether.dashboard.arrangement import arranged
from tether.dashboard.bars import axis, bar, by_cell, full_scale
from tether.dashboard.facts import facts_of, laid_out
from tether.dashboard.frames import Frames
from tether.dashboard.halfcell import dithered
from tether.dashboard.has_needs import MOST, numbers, squares
from tether.dashboard.lettering import HEIGHT, drawn
from tether.dashboard.palette import (
    COLOURS,
    GROUND,
    LIFTED,
    PAPER,
    QUIET,
    SYMBOLS,
    Palette,
    contrast,
)
from tether.dashboard.reshoot_line import fitting
from tether.dashboard.soft_line import told
from tether.dashboard.state_line import StateLine
from tether.dashboard.text import fitted, shortened, wrapped
from tether.model import Against, EdgeWidth, Eye, Part, Rect, Setup, Verdict
from tether.plain import plain
from tether.session.coverage import Coverage
from tether.session.frame_evidence import FrameEvidence
from tether.session.reader import Row
from tether.session.record import WatchState
from tether.session.reshoots import Reshoot

LIMIT = 3.5
NOTHING = FrameEvidence()


def row(number: int = 1, px: float | None = 3.0, verdict: str = "sharp", **more: object) -> Row:
    low, high = (None, None) if px is None else (px - 0.5, px + 0.5)
    values = {
        "id": number, "revision": number, "arrived": float(number), "verdict": verdict,
        "cause": None, "edge_width_px": px, "edge_width_lo": low, "edge_width_hi": high,
        "limit_px": LIMIT, "name": f"bowl-{number:04}", **more,
    }  # fmt: skip
    return Row(**values)  # type: ignore[arg-type]


@pytest.mark.parametrize("verdict", list(Verdict))
def test_every_verdict_has_a_word_a_shape_and_a_colour_of_its_own(verdict: Verdict) -> None:
    for scale, columns in ((1, 80), (2, 160)):
        letters = drawn(verdict, scale)
        assert len(letters) == HEIGHT * scale
        assert {len(line) for line in letters} == {len(letters[0])}
        assert len(letters[0]) < columns
    shapes = {"".join(line[:10] for line in drawn(one)) for one in Verdict}
    assert len(shapes) == len(set(SYMBOLS.values())) == len(set(COLOURS.values())) == 4


def test_text_can_be_read_on_its_ground() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#d55e00", "#ffffff") == pytest.approx(3.87, abs=0.01)  # WCAG luminance
    for colour in (*COLOURS.values(), PAPER, QUIET):
        assert contrast(colour, GROUND) >= 4.5
    for colour in (PAPER, QUIET):
        assert contrast(colour, LIFTED) >= 4.5
    assert set(COLOURS.values()) <= {"#e69f00", "#56b4e9", "#009e73", "#f0e442", "#d55e00"}


def test_a_longer_bar_is_a_wider_edge_to_an_eighth_of_a_cell() -> None:
    palette = Palette()

    def length(px: float) -> float:
        exact = row(px=px, edge_width_lo=px, edge_width_hi=px, limit_px=None)
        body, eighths = palette.shade("sharp", 0, 0), " ▏▎▍▌▋▊▉"
        total = 0.0
        for segment in bar(exact, 40, 8.0, palette, lifted=False):
            if segment.style == body:
                total += len(segment.text)
            elif segment.text.strip():
                total += eighths.index(segment.text[0]) / 8
        return total

    for px in (0.0, 0.5, 1.23, 2.0, 3.333, 6.9):
        assert length(px) == pytest.approx(px * 5, abs=1 / 8)


@pytest.mark.parametrize("colour", [True, False])
@settings(max_examples=50, deadline=None)
@given(
    px=st.none() | st.floats(0, 1e6),
    low=st.none() | st.floats(-10, 1e6),
    high=st.none() | st.floats(-10, 1e6),
    limit=st.none() | st.floats(0, 1e4),
    columns=st.integers(1, 120),
)
def test_whatever_the_numbers_the_bar_fills_its_cells(
    colour: bool,
    px: float | None,
    low: float | None,
    high: float | None,
    limit: float | None,
    columns: int,
) -> None:
    frame = row(px=None, limit_px=limit, cause="defocus")
    frame = row(
        px=None, edge_width_px=px, edge_width_lo=low, edge_width_hi=high, limit_px=limit,
        cause="defocus",
    )  # fmt: skip
    full = full_scale(px or 0.0, limit)
    palette = Palette(colour)
    drawn_bar = bar(frame, columns, full, palette, lifted=False)
    assert sum(cell_len(segment.text) for segment in drawn_bar) == columns
    assert sum(cell_len(one.text) for one in axis(columns, full, limit, palette)) == columns


def test_the_limit_runs_through_every_line_in_one_column() -> None:
    palette = Palette()
    columns = set()
    for px in (None, 1.0, 3.0, 3.5, 3.6, 7.0):
        text = "".join(one.text for one in bar(row(px=px), 40, 8.0, palette, lifted=False))
        columns.add(text.index("│"))
    heading = "".join(one.text for one in axis(40, 8.0, LIMIT, palette))
    assert columns == {heading.index("│")} == {17}
    assert "limit 3.5" in heading
    assert heading.rstrip().endswith("8 px")


def test_one_frame_far_out_does_not_squeeze_the_others() -> None:
    assert full_scale(3.0, LIMIT) == 8
    assert full_scale(9.0, LIMIT) == 10
    assert full_scale(200.0, LIMIT) == 16
    assert full_scale(0.0, None) == 4


def test_frames_are_counted_and_ordered_as_they_change() -> None:
    frames = Frames()
    frames.take([row(2), row(1, verdict="soft")], since=5.0)
    assert [one.id for one in frames.rows] == [1, 2]
    assert not frames.unseen  # history
    news = frames.take([row(3, verdict="soft"), row(1, verdict="soft", revision=9)])
    assert [one.id for one in news] == [3]
    assert frames.counts == {"sharp": 1, "soft": 2}
    frames.take([], gone={3})
    assert not frames.unseen
    assert frames.place(row(2)) == 1


def test_the_soft_line_names_the_newest_and_counts_the_rest() -> None:
    unseen = [row(number, verdict="soft") for number in range(1, 21)]
    assert told(unseen[:1], 60) == " ▲ 1 soft frame not seen yet: bowl-0001"
    line = told(unseen, 73)
    assert line == " ▲ 20 soft frames not seen yet: bowl-0020, bowl-0019 and 18 more"
    assert all(cell_len(told(unseen, columns)) <= columns for columns in range(1, 90))


@settings(max_examples=50, deadline=None)
@given(st.text(), st.integers(0, 40))
def test_text_is_fitted_by_cells(text: str, columns: int) -> None:
    assert cell_len(fitted(text, columns)) == columns
    assert cell_len(shortened(text, columns)) <= columns
    if columns > 1:
        lines = wrapped(text, columns, 2)
        assert len(lines) <= 2
        assert all(cell_len(line) <= columns for line in lines)


def test_of_a_long_name_the_end_is_kept() -> None:
    assert fitted("a-very-long-name-0042", 8) == "…me-0042"
    # Whose it is shows, too, where two cameras give the same names.
    assert fitted("left/DSC_0014", 12) == "lef…DSC_0014"
    assert fitted("above/DSC_0014", 12) == "abo…DSC_0014"
    assert fitted("一二三四", 5) == "…三四"


def test_the_parts_fill_the_screen_exactly() -> None:
    told = itertools.product((False, True), repeat=3)
    for width, height, lines in itertools.product(range(20, 220, 7), range(5, 70), list(told)):
        at = arranged(
            width, height, **dict(zip(("before", "setup", "reshoot"), lines, strict=True))
        )
        more = at.before + at.setup + at.reshoot
        assert more + at.state + at.band + at.counts + at.main + at.soft + at.keys == height
        assert at.chart + at.side == width
        assert at.main >= 1
        assert at.lower < at.main


def test_a_small_screen_keeps_band_chart_and_picture_with_every_line_there() -> None:
    at = arranged(80, 24, before=True, setup=True, reshoot=True)
    assert (at.before, at.setup, at.reshoot, at.scale) == (1, 1, 1, 1)
    assert at.main >= 6
    assert at.side >= 28


@given(
    has=st.integers(0, 2_000),
    needed=st.integers(0, 999),
)
def test_squares_and_numbers_say_the_same(has: int, needed: int) -> None:
    one = Coverage(1, Setup("Bowl", needed=needed), has, has)
    full, empty = squares(one)
    assert len(full) + len(empty) <= MOST
    assert bool(full) == (has > 0)
    assert (not empty) == one.covered
    assert numbers(one) == (f"{has} of {needed}" if needed else f"{has} of any")


@given(
    names=st.lists(st.text(min_size=1, max_size=30), min_size=1, max_size=8),
    columns=st.integers(20, 200),
    on_it=st.booleans(),
)
@settings(max_examples=60)
def test_reshoots_fit_on_their_line_and_none_is_left_out_unsaid(
    names: list[str], columns: int, on_it: bool
) -> None:
    reshoots = [
        Reshoot(n, Coverage(n, Setup(name), 0, 2), 0.0, 0.0 if on_it else None)
        for n, name in enumerate(names)
    ]
    told = fitting(reshoots, columns)
    assert cell_len(told) <= columns
    assert plain(told) == told
    shown = told.count(" 0 of 1")
    if shown and shown < len(names):
        assert told.endswith(f"and {len(names) - shown} more")


def test_a_wide_name_takes_the_cells_it_is_shown_in() -> None:
    assert by_cell("窯a", 10) == ["窯", "", "a"]
    assert cell_len("".join(by_cell("窯" * 30, 11))) <= 11
    for columns in range(20, 60):
        cells = bar(row(), columns, 7.0, Palette(True), lifted=False, setup="窯の蓋の下")
        assert sum(cell_len(segment.text) for segment in cells) == columns


def test_the_worthiest_facts_are_kept_when_room_is_short() -> None:
    facts = facts_of(
        row(px=4.5, verdict="soft"), {"advice": ["Focus again."], "latency_ms": 400}, NOTHING
    )
    labels = [label for label, _ in laid_out(facts, 40, 3)]
    assert labels == ["frame", "advice", "edge"]
    assert ("latency", "0.40 s") in laid_out(facts, 40, 30)


def test_it_is_said_whose_a_frame_is_where_there_are_several() -> None:
    told = dict(laid_out(facts_of(replace(row(), camera="left\x1b"), {}, NOTHING), 40, 30))
    assert told["camera"] == r"left\x1b"
    assert "camera" not in dict(laid_out(facts_of(row(), {}, NOTHING), 40, 30))


def test_where_it_is_sharpest_is_said_for_the_picture_the_right_way_up() -> None:
    found = {"x": 5000, "y": 3000, "width": 256, "height": 256, "edge_width_px": 2.13}

    def said(evidence: FrameEvidence) -> str:
        lines = laid_out(facts_of(row(), {"sharpest": found}, evidence), 40, 30)
        return dict(lines)["where"]

    assert said(FrameEvidence(size=(6000, 4000), orientation=1)) == "2.1 px, lower right of frame"
    # Orientation 6: a quarter turn clockwise brings the lower right of the file to the lower left.
    assert said(FrameEvidence(size=(6000, 4000), orientation=6)) == "2.1 px, lower left of frame"
    assert said(FrameEvidence(size=(6000, 4000))) == "2.1 px, lower right of frame"
    assert said(NOTHING) == "2.1 px"  # a record of before
    assert "where" not in dict(laid_out(facts_of(row(), {}, NOTHING), 40, 30))


def test_which_picture_of_a_raw_was_judged_is_told() -> None:
    evidence = FrameEvidence(judged_from="the raw's green samples")
    told = dict(laid_out(facts_of(row(), {}, evidence), 40, 30))
    assert told["from"] == "the raw's green samples"
    assert "from" not in dict(laid_out(facts_of(row(), {}, NOTHING), 40, 30))  # a record of before


def test_both_eyes_are_told_where_they_were_looked_for() -> None:
    square = Rect(100, 100, 150, 150)
    eyes = Eye(Part.RIGHT_EYE, square, EdgeWidth(3.14, 2.6, 3.7)), Eye(Part.LEFT_EYE, square)
    told = dict(laid_out(facts_of(row(), {}, FrameEvidence(eyes=eyes)), 40, 30))
    assert told["eyes"] == "right eye 3.1 px, left eye not measured"
    assert "eyes" not in dict(laid_out(facts_of(row(), {}, NOTHING), 40, 30))  # a record of before


def test_the_reference_is_named_with_the_ratio_and_its_interval_or_why_there_is_none() -> None:
    compared = FrameEvidence(against=Against("bowl-3", 3, (1.05, 1.2)))
    told = laid_out(facts_of(row(), {"relative_blur": 1.12}, compared), 60, 30)
    assert ("against", "1.12 times the reference bowl-3 (1.05–1.20)") in told
    not_compared = FrameEvidence(against=Against("bowl-3", 3, None, "too little detail to compare"))
    told = laid_out(facts_of(row(), {"relative_blur": None}, not_compared), 90, 30)
    assert (
        "against",
        "not compared with the reference bowl-3: too little detail to compare",
    ) in told
    waits = Against("", None, None, "other frames waited")
    evidence = FrameEvidence(against=waits)
    told = laid_out(facts_of(row(), {"relative_blur": None}, evidence), 90, 30)
    assert ("against", "not compared with a reference yet: other frames waited") in told
    assert "against" not in dict(laid_out(facts_of(row(), {}, NOTHING), 40, 30))


def test_facts_bear_with_anything_the_record_holds() -> None:
    odd = {"exposure": {"shutter_s": 0, "f_number": 2.8}, "advice": None, "motion": None}
    assert ("taken", "f/2.8") in laid_out(facts_of(row(), odd, NOTHING), 40, 30)
    long = {"exposure": {"shutter_s": 0.5, "focal_length_mm": 85.0, "iso": 100}}
    assert ("taken", "0.5 s, 85 mm, ISO 100") in laid_out(facts_of(row(), long, NOTHING), 40, 30)


def test_without_colour_greys_are_told_by_density() -> None:
    for grey in (0, 64, 128, 255):
        lines = dithered([[grey] * 40 for _ in range(40)])
        lit = sum({" ": 0, "▀": 1, "▄": 1, "█": 2}[glyph] for line in lines for glyph in line)
        assert lit / 1600 == pytest.approx(grey / 255, abs=0.03)


def test_alerts_that_fail_are_shown_while_a_watch_runs() -> None:
    line = StateLine(Palette(True), Path("/studio"))
    line.watched, line.state = True, WatchState(alerts="command lamp ended with status 1")
    assert line.warning == "alerts fail: command lamp ended with status 1"
    line.watched = False
    assert line.warning == ""


def test_what_watch_and_screen_both_see_is_told_once() -> None:
    state = StateLine(Palette(True), Path("/studio"))
    gone = "the folder is gone: waiting for it to come back"
    state.notice, state.trouble = f"12:00:01 {gone}", gone
    state.state = WatchState(there=False, line=gone)
    assert state.warning == f"the folder is away: {gone}"
    state.state = WatchState()
    state.notice = "12:00:01 the record cannot be written"
    assert state.warning == f"{state.notice}; {gone}"
