"""The picture of the evidence shows the area's own pixels, its edges, and every figure's unit."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.pictures import portrait
from tests.portraits import exposed, fine_portrait
from tests.report.seen import U8, seen
from tether.model import Judgement
from tether.report import marked_area, words
from tether.report.evidence import Drawn, draw
from tether.report.evidence_lines import evidence_lines
from tether.settings import Settings
from tether.sharpness.evidence import Evidence

Seen = tuple[Judgement, U8, Evidence]


@pytest.fixture(scope="module", params=[0.0, 6.0])
def frame(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Seen:
    return seen(tmp_path_factory.mktemp("seen"), portrait(blur_sigma=request.param))


@pytest.fixture
def flat(tmp_path: Path) -> Seen:
    return seen(tmp_path, np.full((512, 512), 120, np.uint8))


def area_of(drawn: Drawn) -> NDArray[np.uint8]:
    dots = np.asarray(Image.open(io.BytesIO(drawn.png)).convert("RGB"))
    p = drawn.place
    return dots[p.y : p.y + p.height, p.x : p.x + p.width]


def test_an_area_without_edges_is_shown_pixel_for_pixel(flat: Seen) -> None:
    judgement, area, found = flat
    # A ramp tells rows from columns and up from down.
    area = np.add.outer(np.arange(area.shape[0]) % 97, np.arange(area.shape[1]) % 89).astype("u1")
    drawn = draw(judgement, area, found)
    assert drawn.magnification == 800 // max(area.shape)
    expected = area.repeat(drawn.magnification, 0).repeat(drawn.magnification, 1)
    assert (area_of(drawn) == expected[:, :, None]).all()


def test_marks_cover_the_edges_and_leave_the_rest_as_it_is(frame: Seen) -> None:
    judgement, area, found = frame
    drawn = draw(judgement, area, found)
    dots, times = area_of(drawn), drawn.magnification
    coloured = (dots.max(2).astype(int) - dots.min(2)) > 40
    middle = marked_area.marks(found.edges, times).mean(1).astype(int)
    assert len(middle) == len(found.edges.px)
    assert judgement.measurement is not None
    assert len(middle) == judgement.measurement.edges
    assert all(coloured[y - 2 : y + 3, x - 2 : x + 3].any() for x, y in middle)
    original = area.repeat(times, 0).repeat(times, 1)
    untouched = (dots == original[:, :, None]).all(2)
    assert untouched[~coloured].mean() > 0.5


def test_a_mark_lies_along_the_normal_and_is_as_long_as_the_edge_is_wide(frame: Seen) -> None:
    _, _, found = frame
    first, second = marked_area.marks(found.edges, 10).transpose(1, 0, 2)
    across, down = (second - first).T
    assert np.hypot(across, down) == pytest.approx(np.maximum(10 * found.edges.px, 7.0), rel=1e-4)
    assert np.cos(np.arctan2(-down, across) - found.edges.normal) == pytest.approx(1, abs=1e-4)


def test_of_an_area_larger_than_any_screen_the_middle_is_shown(flat: Seen) -> None:
    judgement, _, found = flat
    large = np.zeros((1000, 4000), np.uint8)
    large[:, 1200:2800] = 200
    drawn = draw(judgement, large, found)
    assert (drawn.place.width, drawn.place.height, drawn.magnification) == (1600, 1000, 1)
    assert (area_of(drawn) == 200).all()


def test_sixteen_bits_are_shown_as_eight(flat: Seen) -> None:
    judgement, area, found = flat
    deep = area.astype(np.uint16) * 257
    assert (area_of(draw(judgement, deep, found)) == 120).all()


def test_every_figure_has_a_unit_and_the_limit_its_reason(frame: Seen) -> None:
    judgement, _, found = frame
    told = dict(words.facts(judgement, found))
    assert "px (95 %: " in told["widest"]
    assert "px (95 %: " in told["narrowest"]
    assert told["limit"] == judgement.limit_why
    assert told["area"].endswith("from: frame centre")
    assert "of full scale" in told["noise"]
    assert told["clipped"].endswith("% of the area's pixels")


def test_both_eyes_are_told_where_the_nearest_was_judged(tmp_path: Path) -> None:
    judgement, _, found = seen(tmp_path, exposed(fine_portrait()), settings=Settings())
    right, left = (eye.width for eye in sorted(judgement.eyes, key=lambda e: e.part, reverse=True))
    assert right is not None and left is not None
    eyes = dict(words.facts(judgement, found))["eyes"]
    assert {f"right eye {right.px:.1f} px", f"left eye {left.px:.1f} px"} == set(eyes.split(", "))
    assert eyes in evidence_lines(judgement, found)


def test_why_an_area_is_not_judged_is_told(flat: Seen) -> None:
    judgement, _, found = flat
    assert words.verdict(judgement) == "○ UNJUDGED: no detail"
    told = dict(words.facts(judgement, found))
    assert told["edge width"] == "not told: no detail"
    assert told["edges used"] == "0"
    assert "no edges of enough contrast" in told["note"]
    (line,) = evidence_lines(judgement, found)
    assert line == "not judged, 0 edges: no edges of enough contrast"


def test_a_name_is_no_formula_and_no_escape(frame: Seen) -> None:
    judgement, area, found = frame
    odd = replace(judgement, file=Path("/tmp/$x^{2\x1b[31m$.jpg"))
    assert draw(odd, area, found).png.startswith(b"\x89PNG")
    assert "\x1b" not in dict(words.facts(odd, found))["file"]


def test_the_terminal_gets_a_line_for_every_direction(frame: Seen) -> None:
    judgement, _, found = frame
    assert judgement.limit_px is not None and found.widths is not None
    head, *bars, foot = evidence_lines(judgement, found)
    assert f"limit {judgement.limit_px:.1f} px" in head
    assert "90° up" in foot
    assert [bar.split("°")[0].strip() for bar in bars] == [str(15 * n) for n in range(12)]
    column = {bar.index("│") for bar in bars}
    assert len(column) == 1
    for bar, px in zip(bars, found.widths.px, strict=True):
        solid = sum(bar.count(sign) for sign in "█▓")
        # Within a cell, a width reaches past the limit's line when it is above the limit.
        if px > 1.1 * judgement.limit_px:
            assert solid + 25 > min(column)
        if px < 0.9 * judgement.limit_px:
            assert solid + 25 < min(column)


def test_a_terminal_without_such_signs_gets_plain_ones(frame: Seen) -> None:
    judgement, _, found = frame
    plain = evidence_lines(judgement, found, "ascii")
    assert all(line.isascii() for line in plain)
    assert len(plain) == 14
