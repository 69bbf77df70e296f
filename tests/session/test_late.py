"""What comes after a verdict may change it: a face found late, a comparison that had to wait."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

import tether.session.second_look
import tether.session.workers
from tests.pictures import jpeg, portrait, write
from tests.session.made import until
from tests.session.running import Begin
from tests.sitters import far_off
from tests.test_judge_late import OF_CENTRE, OF_EYE, SMALL
from tether.judge import Asked, complete
from tether.model import Judgement, Source, Verdict
from tether.on_area import NOT_YET
from tether.session import references
from tether.session.backlog import Backlog
from tether.session.fixed_areas import FixedAreas
from tether.session.plan import Plan
from tether.session.reader import Reader
from tether.session.record import Entry, Record
from tether.session.reference_frames import ReferenceFrames
from tether.session.references import Key
from tether.session.roots import Roots
from tether.session.workers import Begun, Done, Finished, Workers
from tether.settings import Settings

ONE = {"watch": {"workers": 1}}
CENTRE = Settings.model_validate(
    ONE | {"area": {"sources": ["frame centre"]}, "limit": {"edge_width_px": 6.0}}
)


_NUMBERS = itertools.count(1)


def asked(path: Path) -> Asked:
    now = datetime.now().astimezone()
    return Asked(path, path.stem, now, time.monotonic(), path.parent, number=next(_NUMBERS))


def settled(folder: Path, count: int) -> bool:
    """Whether so many frames are recorded and nothing of them is left to look at."""
    record = Record(folder)
    try:
        return [one.unfinished for one in record.frames()] == [False] * count
    finally:
        record.close()


@pytest.mark.parametrize("soft", [OF_EYE, OF_CENTRE], ids=["eye soft", "centre soft"])
def test_a_face_found_late_replaces_the_verdict_and_is_alerted(
    folder: Path, watched: Begin, soft: tuple[float, float]
) -> None:
    running = watched(SMALL)
    write(folder / "maker.jpg", jpeg(far_off(*soft)[0]))
    running.until_told(1)
    verdicts = [Verdict.SHARP, Verdict.SOFT] if soft == OF_EYE else [Verdict.SOFT, Verdict.SHARP]
    assert [one.verdict for one in running.alerted] == verdicts
    first, last = running.alerted
    (whole,) = running.told
    assert whole == last
    assert first.area and last.area and last.measurement and last.measurement.widest
    assert (first.area.source, last.area.source) == (Source.FRAME_CENTRE, Source.NEAREST_EYE)
    reader = Reader(folder)
    (row,) = reader.rows_since(0)
    assert (row.verdict, row.edge_width_px) == (verdicts[1], last.measurement.widest.px)
    line = reader.frame(row.id)
    assert line is not None and line["area"]["source"] == "nearest eye"
    assert reader.crop(row.id) == last.crop != first.crop
    assert settled(folder, 1)


def test_what_the_frame_before_showed_says_where_to_look_first(
    folder: Path, watched: Begin
) -> None:
    running = watched(SMALL)
    write(folder / "maker-1.jpg", jpeg(far_off(*OF_EYE)[0]))
    running.until_told(1)
    write(folder / "maker-2.jpg", jpeg(far_off(*OF_EYE, right=2310)[0]))
    running.until_told(2)
    # Sharp at first and then soft; and of the second frame the eye at once.
    assert [one.verdict for one in running.alerted] == ["sharp", "soft", "soft"]
    assert {one.verdict for one in running.told} == {Verdict.SOFT}


def test_where_nobody_is_no_verdict_is_told_twice(folder: Path, watched: Begin) -> None:
    running = watched(SMALL)
    write(folder / "bowl.jpg", jpeg(far_off()[0][:, :2200]))
    running.until_told(1)
    assert running.alerted == running.told
    assert settled(folder, 1)


def test_a_line_waits_for_the_second_look_only_so_long(
    folder: Path, watched: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked_on = threading.Event()

    def slow(*told: Any, **more: Any) -> Any:
        asked_on.wait(60)
        return complete(*told, **more)

    monkeypatch.setattr(tether.session.workers, "complete", slow)
    monkeypatch.setattr(tether.session.second_look, "PATIENCE_S", 0.1)
    running = watched(SMALL)
    try:
        write(folder / "maker.jpg", jpeg(far_off(*OF_EYE)[0]))
        until(lambda: [one.verdict for one in running.told] == ["sharp"])
    finally:
        asked_on.set()
    # What it changes is told once more.
    until(lambda: [one.verdict for one in running.told] == ["sharp", "soft"])
    assert settled(folder, 1)


def worked(
    folder: Path, names: dict[str, float], enough: Callable[[list[Done | Finished]], bool]
) -> tuple[list[Judgement], list[Judgement]]:
    """First and whole judgements of frames that were there all at once, blurred by so many px.

    They are put into the record as a watch does.
    """
    backlog, put = Backlog(), list[Done | Finished]()
    for name, sigma in names.items():
        backlog.put(asked(write(folder / f"{name}.jpg", jpeg(portrait(sigma)))))
    record = Record(folder)
    areas, kept = FixedAreas(record), ReferenceFrames(Roots(folder), record)
    first: list[Judgement] = []
    whole: list[Judgement] = []
    # In the worker's thread, and so in its order.

    def taken(item: object) -> None:
        if isinstance(item, Begun):
            return
        assert isinstance(item, Done | Finished)
        judgement = item.judged.judgement if isinstance(item, Done) else item.judgement
        assert judgement is not None
        (first if isinstance(item, Done) else whole).append(judgement)
        below = Path(item.asked.path.name)
        before = {one.path: one for one in record.frames()}.get(below)
        if isinstance(item, Done):
            assert item.judged.file is not None
            made = Entry(judgement, below, item.judged.file, item.judged.digest)
        else:
            assert before is not None
            made = Entry(judgement, below, before.file, before.digest, row=before.row)
        kept.taken(judgement, record.add(made))
        put.append(item)

    workers = Workers(backlog, CENTRE, taken, areas, Plan(folder, CENTRE), kept)
    workers.start()
    until(lambda: enough(put))
    backlog.close()
    workers.join()
    kept.close()
    record.close()
    return first, whole


def test_in_a_flood_frames_are_compared_after_all_verdicts_and_the_sharpest_is_kept(
    folder: Path,
) -> None:
    names = {"a": 1.5, "b": 0.5, "c": 2.0, "d": 1.5}
    first, whole = worked(folder, names, lambda put: len(put) == 7)
    assert [one.frame for one in first] == ["d", "c", "b", "a"]
    # While others wait nothing is known of how sharp a frame is beside its reference; the last
    # one waits for nobody.
    waited = [one.against for one in first[:3]]
    assert [(one.frame, one.reason) for one in waited if one] == [("", NOT_YET)] * 3
    assert [one.relative_blur for one in first[:3]] == [None] * 3
    every = {one.frame: one for one in (*first, *whole)}
    against = {name: one.against.frame if one.against else None for name, one in every.items()}
    assert against == {"a": "b", "b": None, "c": "b", "d": "b"}
    ratios = {name: one.relative_blur for name, one in every.items()}
    assert all(ratio is not None and ratio > 1.1 for name, ratio in ratios.items() if name != "b")
    key = Key.of(None, None, every["a"].exposure)
    named = references.sharpest_so_far(Reader(folder).reference_candidates(key, named=True))
    assert named is not None and named.name == "b"


def test_a_frame_that_waited_takes_the_place_of_the_reference_once_it_is_known_to_be_sharper(
    folder: Path, watched: Begin
) -> None:
    running = watched(CENTRE)
    write(folder / "first.jpg", jpeg(portrait(2.0)))
    running.until_told(1)
    for name, sigma in {"a": 2.0, "b": 0.5, "c": 2.0, "d": 2.0}.items():
        write(folder / f"{name}.jpg", jpeg(portrait(sigma)))
    until(lambda: len(running.told) == 5)
    write(folder / "last.jpg", jpeg(portrait(2.0)))
    until(lambda: len(running.told) == 6)
    last = running.told[-1]
    assert last.against is not None and last.against.frame == "b"
    assert all(one.against is None or one.against.reason != NOT_YET for one in running.told)
