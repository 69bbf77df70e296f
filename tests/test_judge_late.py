"""What takes long comes after the verdict: small faces, and the reference while others wait."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from tests.frame.xmp import embedded, region, regions
from tests.pictures import jpeg, portrait, soft_in_the_middle, write
from tests.sitters import backdrop, far_off
from tether.judge import Asked, Judged, complete, judge, judge_whole
from tether.model import Against, Exposure, Judgement, Source, Verdict
from tether.on_area import NOT_YET
from tether.reference import Answer, Lookup, Reference, read
from tether.settings import Settings

SMALL = Settings.model_validate({"area": {"smallest_px": 64}})
"""The portrait preset, with areas that fit a face of 76 px."""

WIDE = Settings.model_validate({"limit": {"edge_width_px": 6.0}})

OF_EYE, OF_CENTRE = (8.0, 0.0), (0.0, 10.0)
"""What is soft: px that edges are wide in the face, and in the frame's centre."""


def asked(path: Path) -> Asked:
    return Asked(path, path.stem, datetime.now().astimezone(), time.monotonic(), path.parent)


def completed(judged: Judged) -> Judgement:
    done = complete(judged)
    assert done is not None and done.rest is None
    return done.judgement


def same(one: Judgement, other: Judgement) -> bool:
    """Whether two judgements of one frame differ in nothing but their times."""
    return replace(one, judged=other.judged, latency_ms=other.latency_ms) == other


@pytest.fixture(scope="module", params=[OF_EYE, OF_CENTRE], ids=["eye soft", "centre soft"])
def far(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("far")
    picture, _ = far_off(*request.param)
    return write(folder / ("eye.jpg" if request.param == OF_EYE else "centre.jpg"), jpeg(picture))


def test_a_small_face_is_found_after_the_verdict_and_replaces_it(far: Path) -> None:
    first = judge(asked(far), SMALL)
    one, other = first.judgement, completed(first)
    soft = (Verdict.SOFT, Verdict.SHARP)
    assert one.area is not None and other.area is not None
    assert (one.area.source, other.area.source) == (Source.FRAME_CENTRE, Source.NEAREST_EYE)
    assert (one.verdict, other.verdict) == (soft[::-1] if far.stem == "eye" else soft)
    assert one.crop != other.crop and one.eyes == () and len(other.eyes) >= 1
    assert one.measurement != other.measurement
    assert other.latency_ms > one.latency_ms and other.judged > one.judged
    # A soft eye has its cause and what to do about it; a sharp one neither.
    assert (other.cause is None) == (other.verdict is Verdict.SHARP) == (other.advice == ())
    assert (other.around is None) == (other.verdict is Verdict.SHARP)


def test_a_check_gives_the_final_verdict(far: Path) -> None:
    whole = judge_whole(asked(far), SMALL).judgement
    assert whole.area is not None and whole.area.source is Source.NEAREST_EYE
    assert whole.verdict is (Verdict.SOFT if far.stem == "eye" else Verdict.SHARP)


def test_where_the_frame_before_had_its_face_the_next_one_s_is_found_at_once(far: Path) -> None:
    before = complete(judge(asked(far), SMALL))
    assert before is not None and before.judgement.area is not None
    (place,) = before.likely
    for likely in (place, replace(place, x=place.x + place.side, y=place.y - place.side / 2)):
        first = judge(asked(far), SMALL, likely=(likely,))
        area = first.judgement.area
        assert area is not None and area.source is Source.NEAREST_EYE
        assert first.judgement.verdict is before.judgement.verdict
        assert abs(area.rect.x - before.judgement.area.rect.x) <= 3
        assert first.likely != ()
        # Others may be larger: it is looked on all the same, and the same face remains.
        assert first.rest is not None
        again = completed(first)
        assert again.area is not None and again.verdict is before.judgement.verdict
        assert again.area.source is Source.NEAREST_EYE


def test_a_wrong_place_costs_a_look_and_nothing_more(far: Path) -> None:
    elsewhere = complete(judge(asked(far), SMALL))
    assert elsewhere is not None
    likely = tuple(replace(one, x=0.1, y=0.8) for one in elsewhere.likely)
    frame = asked(far)
    with_it, without = judge(frame, SMALL, likely=likely), judge(frame, SMALL)
    assert same(with_it.judgement, without.judgement)
    assert completed(with_it).area == completed(without).area


def test_a_face_that_the_file_names_is_looked_at_first(tmp_path: Path) -> None:
    picture, eyes = far_off(*OF_CENTRE)
    x, y = eyes.mean(axis=0) / [3000, 2000]
    tag = region("Face", f"x={x:.4f} y={y:.4f} w=0.03 h=0.04")
    named = embedded(jpeg(picture), regions(tag, size=(3000, 2000)))
    first = judge(asked(write(tmp_path / "maker.jpg", named)), SMALL).judgement
    assert first.area is not None and first.area.source is Source.NEAREST_EYE
    assert first.verdict is Verdict.SHARP


def test_a_face_at_the_cameras_point_is_found_at_first_and_ends_the_search(tmp_path: Path) -> None:
    picture, eyes = far_off()
    x, y = eyes.mean(axis=0).round().astype(int)
    tagged = jpeg(picture, {"Exif.Photo.SubjectArea": f"{x} {y + 20}"})
    judged = judge(asked(write(tmp_path / "maker.jpg", tagged)), SMALL)
    assert judged.judgement.area is not None
    assert judged.judgement.area.source is Source.NEAREST_EYE
    assert judged.rest is None


def test_where_nobody_is_the_second_look_confirms(tmp_path: Path) -> None:
    picture = backdrop("coffee", (800, 1200))
    judged = judge(asked(write(tmp_path / "cups.jpg", jpeg(picture))), Settings())
    assert judged.judgement.verdict is not Verdict.SOFT
    assert complete(judged, go_on=lambda: False) is None
    assert completed(judged) == judged.judgement


def test_a_preset_without_faces_has_nothing_to_look_for(tmp_path: Path) -> None:
    path = write(tmp_path / "cups.jpg", jpeg(backdrop("coffee", (800, 1200))))
    centre = Settings.model_validate({"area": {"sources": ["frame centre"]}})
    assert judge(asked(path), centre).rest is None


def test_a_face_is_found_though_the_fixed_area_lies_outside_the_frame(tmp_path: Path) -> None:
    area = {"smallest_px": 64, "fixed": [9000, 9000, 400, 400]}
    path = write(tmp_path / "maker.jpg", jpeg(far_off(*OF_EYE)[0]))
    judged = judge(asked(path), Settings.model_validate({"area": area}))
    assert judged.judgement.verdict is Verdict.UNJUDGED
    assert judged.judgement.error is not None
    found = completed(judged)
    assert (found.verdict, found.error) == (Verdict.SOFT, None)
    nobody = write(tmp_path / "cups.jpg", jpeg(backdrop("coffee", (800, 1200))))
    outside = judge(asked(nobody), Settings.model_validate({"area": area}))
    assert completed(outside) == outside.judgement


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Reference]:
    """A frame, and a sharper one of the same subject to compare it with."""
    folder = tmp_path_factory.mktemp("pair")
    sharper = write(folder / "bowl-1.jpg", jpeg(portrait(0.3)))
    return write(folder / "bowl-2.jpg", jpeg(portrait(1.4))), read(sharper)


def against(reference: Reference, looked_up: list[Exposure]) -> Lookup:
    """What finds this reference, and notes that it was asked for."""

    def lookup(exposure: Exposure) -> Answer:
        looked_up.append(exposure)
        return Answer(reference, "as it was")

    return lookup


def test_while_others_wait_a_frame_is_compared_after_its_verdict(
    pair: tuple[Path, Reference],
) -> None:
    path, reference = pair
    looked_up: list[Exposure] = []
    lookup = against(reference, looked_up)
    frame = asked(path)
    at_once = judge(frame, WIDE, lookup)
    looked_up.clear()
    waits = judge(frame, WIDE, lookup, pressing=lambda: True)
    first = waits.judgement
    assert looked_up == []
    assert first.against == Against("", None, None, NOT_YET)
    assert (first.relative_blur, waits.against, first.advice) == (None, None, ())
    assert first.verdict is at_once.judgement.verdict is Verdict.SHARP
    done = complete(waits)
    assert done is not None and done.against == at_once.against is not None
    one = at_once.judgement
    assert same(one, done.judgement)
    assert (done.judgement.judged, done.judgement.latency_ms) == (first.judged, first.latency_ms)
    assert one.relative_blur is not None and one.advice != () and one.notes == ("as it was",)


def test_the_comparison_gives_way_to_a_verdict_again(pair: tuple[Path, Reference]) -> None:
    path, reference = pair
    looked_up: list[Exposure] = []
    waits = judge(asked(path), Settings(), against(reference, looked_up), pressing=lambda: True)
    assert complete(waits, go_on=lambda: False) is None
    assert looked_up == []


def test_a_soft_frame_that_waited_has_its_cause_and_its_reference_in_the_end(
    tmp_path: Path,
) -> None:
    path = write(tmp_path / "bowl.jpg", jpeg(soft_in_the_middle()))
    sharp = Reference(np.asarray(np.rot90(soft_in_the_middle()[..., 1])), read(path).curve, "cup")
    centre = Settings.model_validate({"area": {"sources": ["frame centre"], "faces": False}})
    lookup = against(sharp, [])
    frame = asked(path)
    waits = judge(frame, centre, lookup, pressing=lambda: True)
    one, other = completed(waits), completed(judge(frame, centre, lookup))
    assert same(one, other)
    assert one.against is not None and one.around is not None


def test_without_a_reference_to_ask_for_nothing_waits(pair: tuple[Path, Reference]) -> None:
    judged = judge(asked(pair[0]), Settings(), pressing=lambda: True)
    assert (judged.rest, judged.judgement.against) == (None, None)
