"""A soft frame's verdict is shown at once; the rest of the frame is looked at when there is time.

Whatever happens in between, every frame is told once and nothing is left half done.
"""

from __future__ import annotations

import gc
import itertools
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from tests.pictures import jpeg, portrait, soft_in_the_middle, write
from tests.session.made import until
from tests.session.running import Begin
from tether.judge import Asked, Rest, judge
from tether.model import Cause, Verdict
from tether.session.backlog import Backlog, Later
from tether.session.fixed_areas import FixedAreas
from tether.session.plan import Plan
from tether.session.reader import Reader
from tether.session.record import Entry, Record
from tether.session.reference_frames import ReferenceFrames
from tether.session.roots import Roots
from tether.session.schema import NAME, RecordError
from tether.session.workers import Begun, Done, Finished, Workers
from tether.settings import Settings

SOFT = jpeg(soft_in_the_middle())
ONE = Settings.model_validate({"watch": {"workers": 1}})


_NUMBERS = itertools.count(1)


def asked(path: Path) -> Asked:
    now = datetime.now().astimezone()
    return Asked(path, path.stem, now, time.monotonic(), path.parent, number=next(_NUMBERS))


def settled(folder: Path) -> bool:
    """Whether the record has no unfinished frame; asked without getting in the watch's way."""
    opened = sqlite3.connect(f"file:{folder / NAME}?mode=ro", uri=True)
    try:
        return bool(opened.execute("SELECT count(*) = 0 FROM unfinished").fetchone()[0])
    except sqlite3.OperationalError:
        return False
    finally:
        opened.close()


def worked(
    folder: Path, backlog: Backlog, enough: Callable[[list[Done | Finished]], bool]
) -> list[object]:
    """What one worker makes of a backlog, in its order."""
    put: list[Done | Finished] = []
    areas, references = FixedAreas(Record(folder)), ReferenceFrames(Roots(folder), Record(folder))

    def take(one: Begun | Done | Finished) -> None:
        if not isinstance(one, Begun):
            put.append(one)

    workers = Workers(backlog, ONE, take, areas, Plan(folder, ONE), references)
    workers.start()
    until(lambda: enough(put))
    backlog.close()
    workers.join()
    return list(put)


def test_a_soft_frame_is_alerted_at_its_verdict_and_told_once_it_is_whole(
    folder: Path, watched: Begin
) -> None:
    running = watched()
    write(folder / "bowl-0001.jpg", SOFT)
    running.until_told(1)
    (first,), (whole,) = running.alerted, running.told
    assert (first.verdict, first.sharpest) == (Verdict.SOFT, None)
    assert (whole.verdict, whole.cause) == (Verdict.SOFT, Cause.FOCUS_ELSEWHERE)
    assert (whole.judged, whole.latency_ms) == (first.judged, first.latency_ms)
    (row,) = Reader(folder).rows_since(0)
    assert row.cause == "focus elsewhere"
    assert row.revision > 1  # the record's readers saw it change
    assert Reader(folder).crop(row.id)
    assert Reader(folder).evidence(row.id).around == whole.around
    assert settled(folder)


def test_every_verdict_comes_before_the_rest_of_any_frame(folder: Path) -> None:
    backlog = Backlog()
    for number in range(4):
        backlog.put(asked(write(folder / f"bowl-{number}.jpg", SOFT)))
    put = worked(folder, backlog, lambda put: len(put) == 8)
    assert [type(one) for one in put] == [Done] * 4 + [Finished] * 4
    done = [one for one in put if isinstance(one, Done)]
    assert [one.asked.frame for one in done] == ["bowl-3", "bowl-2", "bowl-1", "bowl-0"]
    finished = [one for one in put if isinstance(one, Finished)]
    assert all(one.judgement and one.judgement.sharpest for one in finished)
    assert {id(one.asked) for one in done} == {id(one.asked) for one in finished}


def test_a_worker_holds_the_pixels_of_one_frame_at_most(folder: Path) -> None:
    backlog = Backlog()
    for number in range(4):
        backlog.put(asked(write(folder / f"bowl-{number}.jpg", SOFT)))
    held: list[int] = []

    def counted(put: list[Done | Finished]) -> bool:
        held.append(sum(isinstance(one, Rest) for one in gc.get_objects()))
        return len(put) == 8

    gc.freeze()  # what was there before need not be counted, over and over
    try:
        worked(folder, backlog, counted)
    finally:
        gc.unfreeze()
    assert 0 < max(held) <= 1


def take(backlog: Backlog) -> Asked | Later | None:
    with backlog.taken() as task:
        return task


def test_a_verdict_that_waits_is_taken_before_any_rest(folder: Path) -> None:
    backlog = Backlog()
    first, second, rest = (asked(folder / f"{name}.jpg") for name in "abc")
    backlog.put(first)
    backlog.put_later(Later(rest, b""))
    backlog.put(second)
    assert backlog.pressing(rest)
    assert [take(backlog), take(backlog)] == [second, first]
    assert not backlog.pressing(rest)
    assert take(backlog) == Later(rest, b"")


def test_a_new_frame_gets_all_it_needs_before_what_lay_there_already(folder: Path) -> None:
    backlog = Backlog()
    old, new = (asked(folder / f"{name}.jpg") for name in "ab")
    old, older = replace(old, swept=True), replace(old, swept=True, number=old.number + 100)
    for lain in (older, old):
        backlog.put(lain)
        backlog.put_later(Later(replace(lain, number=-lain.number), b""))
    assert not backlog.pressing(new)
    backlog.put_later(Later(new, b""))
    assert backlog.pressing(old)
    assert len(backlog) == 2
    taken = [take(backlog) for _ in range(5)]
    assert [type(one) for one in taken] == [Later, Asked, Asked, Later, Later]
    assert taken[:3] == [Later(new, b""), old, older]


def test_what_lay_there_already_is_not_begun_beside_a_new_frame(folder: Path) -> None:
    backlog = Backlog()
    old, new = asked(folder / "a.jpg"), asked(folder / "b.jpg")
    backlog.put(replace(old, swept=True))
    backlog.put(new)
    taken: list[Asked | Later | None] = []
    beside = threading.Thread(target=lambda: taken.append(take(backlog)))
    with backlog.taken() as first:
        assert first is new
        beside.start()
        beside.join(0.2)
        assert not taken
    beside.join(10)
    assert taken == [replace(old, swept=True)]


@pytest.mark.parametrize("content", [None, jpeg(portrait())])
def test_a_file_that_changed_since_its_verdict_is_not_mistaken_for_itself(
    folder: Path, content: bytes | None
) -> None:
    backlog = Backlog()
    path = folder / "bowl.jpg"
    if content is not None:
        write(path, content)
    backlog.put_later(Later(asked(path), b"another digest"))
    (found,) = worked(folder, backlog, lambda put: len(put) == 1)
    assert isinstance(found, Finished)
    assert found.judgement is None


@pytest.mark.parametrize("told", [False, True])
def test_what_a_crash_left_unfinished_is_finished_by_the_next_watch(
    folder: Path, watched: Begin, told: bool
) -> None:
    first = judge(asked(write(folder / "bowl.jpg", SOFT)), Settings())
    assert first.file is not None
    record = Record(folder)
    path = Path("bowl.jpg")
    row = record.add(Entry(first.judgement, path, first.file, first.digest, unfinished=True))
    if told:
        record.told(row)
    record.close()
    before = Reader(folder).frame(1)
    assert before is not None
    running = watched()
    until(lambda: settled(folder))
    after = Reader(folder).frame(1)
    assert after is not None
    changed = {key for key in after if after[key] != before[key]}
    assert {"cause", "sharpest"} <= changed <= {"cause", "sharpest", "advice"}
    running.end()
    # Once in both runs together, and no second bell.
    assert running.names() == ([] if told else ["bowl"])
    assert not running.alerted


def test_a_frame_gone_before_its_rest_was_seen_stays_as_it_stands(
    folder: Path, watched: Begin
) -> None:
    first = judge(asked(write(folder / "bowl.jpg", SOFT)), Settings())
    assert first.file is not None
    record = Record(folder)
    path = Path("bowl.jpg")
    record.add(Entry(first.judgement, path, first.file, first.digest, unfinished=True))
    record.close()
    (folder / "bowl.jpg").unlink()
    watched()
    until(lambda: settled(folder))
    assert [row.verdict for row in Reader(folder).rows_since(0)] == ["soft"]


def test_stopped_in_the_middle_every_frame_with_a_verdict_is_told_once(
    folder: Path, watched: Begin
) -> None:
    for number in range(8):
        write(folder / f"bowl-{number}.jpg", SOFT)
    running = watched(ONE)
    until(lambda: len(running.alerted) >= 3)
    running.end()
    assert Counter(running.names()) == Counter(one.frame for one in running.alerted)
    again = watched(ONE)
    until(lambda: len(running.alerted) + len(again.alerted) == 8 and settled(folder))
    again.end()
    assert Counter(running.names() + again.names()) == Counter(f"bowl-{n}" for n in range(8))
    facts = [Reader(folder).frame(row.id) for row in Reader(folder).rows_since(0)]
    assert all(one is not None and one["sharpest"] for one in facts)


def test_renamed_in_between_it_is_finished_under_its_new_name(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    for number in range(6):
        write(folder / f"tmp-{number}.jpg", SOFT)
    until(lambda: bool(running.alerted))
    for number in range(6):
        (folder / f"tmp-{number}.jpg").rename(folder / f"bowl-{number}.jpg")
    wanted = {f"bowl-{number}" for number in range(6)}

    def all_there() -> bool:
        rows = Reader(folder).rows_since(0)
        return {row.name for row in rows} == wanted and settled(folder)

    until(all_there)
    assert {row.cause for row in Reader(folder).rows_since(0)} == {"focus elsewhere"}
    until(lambda: len(running.told) == 6)


def test_saved_anew_in_between_it_has_the_verdict_of_what_stands_there(
    folder: Path, watched: Begin
) -> None:
    running = watched(ONE)
    for number in range(5):
        write(folder / f"bowl-{number}.jpg", SOFT)
    until(lambda: bool(running.alerted))
    for number in range(5):
        write(folder / f"bowl-{number}.jpg", jpeg(portrait()))
    until(lambda: [r.verdict for r in Reader(folder).rows_since(0)] == ["sharp"] * 5)
    until(lambda: settled(folder))
    assert [r.verdict for r in Reader(folder).rows_since(0)] == ["sharp"] * 5
    last = {one.frame: one.verdict for one in running.told}
    assert set(last.values()) == {Verdict.SHARP}


def test_saved_again_unchanged_in_between_it_is_finished_all_the_same(
    folder: Path, watched: Begin
) -> None:
    running = watched(ONE)
    for number in range(5):
        write(folder / f"bowl-{number}.jpg", SOFT)
    until(lambda: bool(running.alerted))
    for number in range(5):
        write(folder / f"bowl-{number}.jpg", SOFT)
    until(lambda: len(running.told) == 5 and settled(folder))
    assert len({one.frame for one in running.told}) == 5
    assert all(one.sharpest for one in running.told)


_WATCH = [sys.executable, "-m", "tether", "watch", "--headless", "--json"]


@pytest.mark.parametrize("verdicts", [1, 4])
def test_killed_between_the_two_steps_a_restart_completes(folder: Path, verdicts: int) -> None:
    for number in range(6):
        write(folder / f"bowl-{number}.jpg", SOFT)
    lines: list[bytes] = []

    def run(until_true: Callable[[], bool], ends_by: signal.Signals) -> None:
        with subprocess.Popen(
            [*_WATCH, "--existing", str(folder)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        ) as running:
            try:
                until(until_true)
            finally:
                running.send_signal(ends_by)
                assert running.stdout is not None
                lines.extend(running.stdout.read().splitlines())

    def recorded() -> int:
        try:
            return len(Reader(folder).rows_since(0))
        except RecordError:
            return 0

    run(lambda: recorded() >= verdicts, signal.SIGKILL)
    run(lambda: recorded() == 6 and settled(folder), signal.SIGTERM)
    facts = [Reader(folder).frame(row.id) for row in Reader(folder).rows_since(0)]
    assert all(one is not None and one["cause"] == "focus elsewhere" for one in facts)
    # A line whose frame was recorded and whose printer was killed is lost; none comes twice.
    assert len(lines) == len(set(lines))
    assert 5 <= len(lines) <= 6
