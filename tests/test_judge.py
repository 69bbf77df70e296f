"""The verdict needs the focus area alone; the rest of a soft frame completes it."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from mocks.shoot import SHOOT, render
from tests.pictures import jpeg, portrait, soft_in_the_middle, write
from tests.portraits import PUPILS, exposed, fine_portrait, with_blurred
from tether import contract
from tether.judge import Asked, Judged, complete, judge, judge_whole
from tether.model import Cause, Part, Rect, Source, Verdict
from tether.settings import Settings


@pytest.fixture(scope="module")
def soft(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("soft") / "bowl.jpg"
    path.write_bytes(jpeg(soft_in_the_middle()))
    return path


def asked(path: Path) -> Asked:
    return Asked(path, path.stem, datetime.now().astimezone(), time.monotonic(), path.parent)


def test_the_first_verdict_knows_the_area_alone(soft: Path) -> None:
    first = judge(asked(soft), Settings()).judgement
    assert first.verdict is Verdict.SOFT
    assert first.cause in {Cause.DEFOCUS, None}
    assert (first.around, first.sharpest) == (None, None)
    assert first.size == (1024, 1024)


def test_the_rest_of_the_frame_tells_where_the_focus_is(soft: Path) -> None:
    judged = judge(asked(soft), Settings())
    whole = complete(judged)
    assert whole is not None
    assert whole.cause is Cause.FOCUS_ELSEWHERE
    line = contract.as_dict(whole)
    where = line["sharpest"]
    assert list(where) == ["x", "y", "width", "height", "edge_width_px"]
    assert where["edge_width_px"] < line["edge_width_px_95"][0]
    outside = where["x"] + where["width"] <= 312 or where["x"] >= 712
    outside |= where["y"] + where["height"] <= 312 or where["y"] >= 712
    assert outside


def test_verdict_times_and_measurement_stay_as_they_were(soft: Path) -> None:
    judged = judge(asked(soft), Settings())
    time.sleep(0.05)
    whole = complete(judged)
    assert whole is not None
    first = judged.judgement
    same = replace(whole, cause=first.cause, advice=first.advice, sharpest=None, around=None)
    assert same == first


def test_only_a_soft_frame_has_a_rest_to_look_at(tmp_path: Path) -> None:
    for name, content in {"sharp": jpeg(portrait()), "broken": jpeg(portrait())[:9000]}.items():
        path = tmp_path / f"{name}.jpg"
        path.write_bytes(content)
        judged = judge(asked(path), Settings())
        assert judged.rest is None
        assert complete(judged) == judged.judgement


@pytest.mark.parametrize("soft_eye", [0, 1])
def test_a_portrait_is_judged_on_the_eye_the_camera_names_and_both_are_measured(
    tmp_path: Path, soft_eye: int
) -> None:
    # The portrait is six times as large; what of the photograph is shown begins at 80, 0.
    eyes = [(round(6 * (x - 80)), round(6 * y)) for x, y in PUPILS]
    x, y = eyes[soft_eye]
    picture = exposed(with_blurred(fine_portrait(), {Rect(x - 64, y - 64, 128, 128): 12.0}))
    widths: list[float] = []
    others: list[float] = []
    for x, y in eyes:
        point = {"Exif.Photo.SubjectArea": f"{x} {y}"}
        path = write(tmp_path / "maker.jpg", jpeg(picture, point))
        judgement = judge(asked(path), Settings()).judgement
        assert judgement.area is not None and judgement.measurement is not None
        assert judgement.area.source is Source.NEAREST_EYE
        first, second = judgement.eyes
        assert (first.rect, first.width) == (judgement.area.rect, judgement.measurement.widest)
        assert first.part is (Part.RIGHT_EYE, Part.LEFT_EYE)[len(widths)]
        assert first.width is not None and second.width is not None
        widths.append(first.width.px)
        others.append(second.width.px)
    assert widths[soft_eye] > 2 * widths[1 - soft_eye]
    assert others == widths[::-1]


def test_looking_stops_when_something_more_pressing_comes(soft: Path) -> None:
    assert complete(judge(asked(soft), Settings()), go_on=lambda: False) is None


def test_whole_at_once_is_the_same(soft: Path) -> None:
    frame = asked(soft)
    at_once, in_steps = judge_whole(frame, Settings()), judge(frame, Settings())
    assert at_once.rest is None
    whole = complete(in_steps)
    assert whole is not None
    one = at_once.judgement
    assert replace(one, judged=whole.judged, latency_ms=whole.latency_ms) == whole


@pytest.mark.parametrize("name", ["bowl-0006.jpg", "bowl-0009.jpg", "maker-0002.jpg",
                                  "maker-0004.jpg", "maker-0006.jpg", "bowl-0005.jpg"])  # fmt: skip
def test_no_frame_of_the_shoot_gets_a_cause_it_does_not_have(tmp_path: Path, name: str) -> None:
    shot = next(one for one in SHOOT if one.name == name)
    path = tmp_path / name
    path.write_bytes(render(shot))
    told: Judged = judge_whole(asked(path), Settings())
    assert told.judgement.cause in {None, *shot.truth.causes}
    if shot.setup == "maker" and shot.focus:
        assert told.judgement.cause is Cause.FOCUS_ELSEWHERE
        where = told.judgement.sharpest
        # On the pots before her, at the bottom.
        assert where is not None
        assert where[0].y > 600
