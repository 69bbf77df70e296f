"""The verdict needs the focus area alone; the rest of a soft frame completes it."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
import simplejpeg

from mocks import sensor
from mocks.scenes import bowl, compose
from mocks.shoot import SHOOT, Shot, render
from mocks.slate import Slate, in_scene
from tests.pictures import jpeg, portrait, soft_in_the_middle, write
from tests.portraits import PUPILS, exposed, fine_portrait, with_blurred
from tether import contract, settings
from tether.frame.scanned import QR, scan
from tether.judge import Asked, Judged, complete, judge, judge_whole
from tether.model import Cause, Judgement, Part, Rect, Source, Verdict
from tether.settings import Settings


@pytest.fixture(scope="module")
def soft(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("soft") / "bowl.jpg"
    path.write_bytes(jpeg(soft_in_the_middle()))
    return path


def asked(path: Path) -> Asked:
    return Asked(path, path.stem, datetime.now().astimezone(), time.monotonic(), path.parent)


def completed(judged: Judged) -> Judgement:
    done = complete(judged)
    assert done is not None and done.rest is None
    return done.judgement


def test_the_first_verdict_knows_the_area_alone(soft: Path) -> None:
    first = judge(asked(soft), Settings()).judgement
    assert first.verdict is Verdict.SOFT
    assert first.cause in {Cause.DEFOCUS, None}
    assert (first.around, first.sharpest) == (None, None)
    assert first.size == (1024, 1024)


def test_the_rest_of_the_frame_tells_where_the_focus_is(soft: Path) -> None:
    judged = judge(asked(soft), Settings())
    whole = completed(judged)
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
    whole = completed(judged)
    first = judged.judgement
    same = replace(whole, cause=first.cause, advice=first.advice, sharpest=None, around=None)
    assert same == first


def test_only_a_soft_frame_has_a_rest_to_look_at(tmp_path: Path) -> None:
    for name, content in {"sharp": jpeg(portrait()), "broken": jpeg(portrait())[:9000]}.items():
        path = tmp_path / f"{name}.jpg"
        path.write_bytes(content)
        judged = judge(asked(path), Settings())
        assert judged.rest is None
        assert complete(judged) == judged


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
    whole = completed(in_steps)
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


def test_a_slate_is_not_measured_and_its_code_is_told(tmp_path: Path) -> None:
    light = compose(in_scene(bowl(), Slate("CUP 3", share=0.3)))
    exif = {"Exif.Photo.FNumber": "8/1", "Exif.Image.Orientation": "6"}
    picture = sensor.expose(light.copy(), 200, np.random.default_rng(1))
    path = write(tmp_path / "slate.jpg", jpeg(picture, exif))
    judged = judge(asked(path), Settings(), laying=True)
    told = judged.judgement
    assert (told.verdict, told.cause, told.slate) == (Verdict.UNJUDGED, None, "CUP 3")
    assert (told.measurement, told.area, told.limit_px, told.advice) == (None, None, None, ())
    assert (judged.rest, judged.against, judged.laid, told.error) == (None, None, None, None)
    assert (told.size, told.orientation, told.exposure.f_number) == ((1800, 1200), 6, 8.0)
    # All of the code is shown, the right way up: turned a quarter, a code still reads.
    small = simplejpeg.decode_jpeg(told.crop, colorspace="GRAY")[..., 0]
    assert small.shape[0] <= 240 and small.shape[1] <= 320
    assert [one.text for one in scan(np.pad(small, 20, constant_values=230), QR)] == ["CUP 3"]
    assert complete(judged) == judged


def test_where_no_codes_are_taken_the_same_frame_is_judged(tmp_path: Path) -> None:
    light = compose(in_scene(bowl(), Slate("CUP 3", share=0.2)))
    picture = sensor.expose(light.copy(), 200, np.random.default_rng(1))
    path = write(tmp_path / "slate.jpg", jpeg(picture))
    none = judge(asked(path), Settings(slate=settings.Slate(codes="none"))).judgement
    assert none.measurement is not None and not none.slate and none.notes == ()
    listed = Settings(slate=settings.Slate(codes="listed"))
    other = judge(asked(path), listed, listed=lambda code: code == "CUP 4").judgement
    assert other.measurement is not None and not other.slate
    assert other.notes == ("not taken for a slate: CUP 3 is not on the shot list",)
    known = judge(asked(path), listed, listed=lambda code: code == "CUP 3").judgement
    assert known.slate == "CUP 3"


def test_a_code_that_names_no_setup_leaves_the_frame_to_be_judged(tmp_path: Path) -> None:
    light = compose(in_scene(bowl(), Slate("CUP\t3", share=0.2)))
    picture = sensor.expose(light.copy(), 200, np.random.default_rng(1))
    told = judge(asked(write(tmp_path / "tab.jpg", jpeg(picture))), Settings()).judgement
    assert told.measurement is not None and not told.slate
    assert told.notes == (
        "not taken for a slate: its code holds characters that cannot be shown: CUP\\t3",
    )


@pytest.mark.parametrize("shot", [SHOOT[0], SHOOT[10]])
def test_the_frames_of_the_shoot_are_judged_as_if_nobody_looked_for_slates(
    tmp_path: Path, shot: Shot
) -> None:
    path = write(tmp_path / shot.name, render(shot))
    frame = asked(path)
    looked = judge(frame, Settings()).judgement
    not_looked = judge(frame, Settings(slate=settings.Slate(codes="none"))).judgement
    same = replace(looked, judged=not_looked.judged, latency_ms=not_looked.latency_ms)
    assert same == not_looked
