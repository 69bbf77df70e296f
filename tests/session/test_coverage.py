"""What a setup has: tries with a sharp frame among them, and what is to be shot again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.session.made import BEGUN, entry
from tether.model import Setup, Verdict
from tether.session import overrules, reshoots, setups, tries, turns
from tether.session.coverage import coverage
from tether.session.overrules import OverruleError
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.writing import once

S, B, U, OK = Verdict.SOFT, Verdict.BORDERLINE, Verdict.UNJUDGED, Verdict.SHARP
BEGAN_S = BEGUN.timestamp()


class Studio:
    """A session whose frames come at the seconds that a test says."""

    def __init__(self, folder: Path, *shots: Setup) -> None:
        self.folder = folder
        self.record = Record(folder)
        self.record.open()
        setups.put_list(folder, shots, "list")
        self.ids = [one.id for one in Reader(folder).shot_list()[0]]

    def shoot(
        self,
        name: str,
        verdict: Verdict,
        at: int,
        *,
        setup: int = 0,
        taken: float | None = None,
        camera: str | None = None,
    ) -> int:
        made = entry(self.folder, name, verdict, at, setup=self.ids[setup])
        judgement = replace(made.judgement, taken_s=taken, camera=camera)
        return self.record.add(replace(made, judgement=judgement))

    def has(self, burst_s: float = 1.0) -> list[tuple[int, int]]:
        with once(self.folder) as opened:
            tries.count_by(opened, burst_s)
            return [(one.has, one.tries) for one in coverage(opened)]

    def reconcile(self, waiting: set[int | None] = frozenset()) -> list[str]:  # type: ignore[assignment]
        with once(self.folder) as opened:
            found = coverage(opened)
            raised = reshoots.reconcile(opened, turns.read(opened), found, waiting)
            return [one.setup.name for one in raised]

    def open_reshoots(self) -> list[str]:
        return [one.coverage.setup.name for one in Reader(self.folder).progress().reshoots]


@pytest.fixture
def studio(folder: Path) -> Studio:
    return Studio(folder, Setup("Bowl", needed=2), Setup("The maker"), Setup("Kiln", needed=0))


def test_sharp_frames_count_and_others_are_tries(studio: Studio) -> None:
    for at, verdict in enumerate([OK, S, B, U, OK]):
        studio.shoot(f"bowl-{at}", verdict, 10 * at)
    studio.shoot("maker-1", S, 60, setup=1)
    assert studio.has() == [(2, 5), (0, 1), (0, 0)]
    covered = [one.covered for one in Reader(studio.folder).progress().setups]
    assert covered == [True, False, True]


def test_a_burst_is_one_try_and_one_sharp_frame_of_it_counts(studio: Studio) -> None:
    for at, verdict in enumerate([S, OK, OK, S, OK]):
        studio.shoot(f"bowl-{at}", verdict, at)
    assert studio.has() == [(1, 1), (0, 0), (0, 0)]
    assert studio.has(0.5) == [(3, 5), (0, 0), (0, 0)]


def test_the_time_of_capture_comes_before_that_of_arrival(studio: Studio) -> None:
    """A burst over a slow cable arrives seconds apart; single frames may arrive in one go."""
    for nth in range(3):
        studio.shoot(f"bowl-{nth}", OK, 20 * nth, taken=5000 + nth / 10)
    for nth in range(3):
        studio.shoot(f"maker-{nth}", OK, 100, setup=1, taken=6000 + 9 * nth)
    assert studio.has() == [(1, 1), (3, 3), (0, 0)]


def test_frames_of_two_setups_or_cameras_are_of_no_burst_together(studio: Studio) -> None:
    studio.shoot("bowl-1", OK, 0)
    studio.shoot("maker-1", OK, 0, setup=1)
    studio.shoot("bowl-2", OK, 0)
    assert studio.has()[0] == (1, 1)
    studio.shoot("bowl-3", OK, 0, camera="left")
    assert studio.has() == [(2, 2), (1, 1), (0, 0)]


def test_a_slate_is_no_try(studio: Studio) -> None:
    made = entry(studio.folder, "slate", U, 0, setup=studio.ids[0])
    studio.record.add(replace(made, judgement=replace(made.judgement, slate="B-01")))
    assert studio.has()[0] == (0, 0)


def test_leaving_a_setup_uncovered_raises_a_reshoot_that_closes_by_itself(studio: Studio) -> None:
    bowl, maker, _ = studio.ids
    turns.turn(studio.folder, bowl, "screen", BEGAN_S - 1)
    studio.shoot("bowl-1", OK, 0)
    assert studio.reconcile() == []
    turns.turn(studio.folder, maker, "screen", BEGAN_S + 5)
    assert studio.reconcile(waiting={bowl}) == []  # its last frame may cover it yet
    assert studio.reconcile() == ["Bowl"]
    assert studio.reconcile() == []
    assert studio.open_reshoots() == ["Bowl"]
    turns.turn(studio.folder, bowl, "screen", BEGAN_S + 16)
    assert studio.reconcile() == ["The maker"]  # for eleven seconds, though without a frame
    studio.shoot("bowl-2", OK, 17)
    assert studio.reconcile() == []
    assert studio.open_reshoots() == ["The maker"]


def test_a_setup_that_is_passed_by_on_the_way_to_another_is_not_left(studio: Studio) -> None:
    bowl, maker, kiln = studio.ids
    for after, setup in enumerate((bowl, maker, kiln)):
        turns.turn(studio.folder, setup, "screen", BEGAN_S + 3 * after)
    assert studio.reconcile() == []
    studio.shoot("maker-1", S, 4, setup=1)
    assert studio.reconcile() == ["The maker"]


def test_somebody_may_be_on_it(studio: Studio) -> None:
    bowl, maker, _ = studio.ids
    turns.turn(studio.folder, bowl, "screen", BEGAN_S)
    turns.turn(studio.folder, maker, "screen", BEGAN_S + 60)
    studio.reconcile()
    (one,) = Reader(studio.folder).progress().reshoots
    assert one.on_it is None
    reshoots.take(studio.folder, one.id)
    (taken,) = Reader(studio.folder).progress().reshoots
    assert taken.on_it is not None
    reshoots.take(studio.folder, one.id)
    assert Reader(studio.folder).progress().reshoots == (taken,)


def test_a_setup_that_needs_none_or_was_never_turned_to_is_no_reshoot(studio: Studio) -> None:
    _, maker, kiln = studio.ids
    turns.turn(studio.folder, kiln, "screen")
    turns.turn(studio.folder, maker, "screen")
    assert studio.reconcile() == []


def test_the_photographers_word_counts_and_the_record_keeps_both(studio: Studio) -> None:
    number = studio.shoot("bowl-1", S, 0)
    overrules.overrule(studio.folder, number, OK, "  soft\ton purpose ", feed=False)
    reader = Reader(studio.folder)
    (row,) = reader.rows_since(0)
    assert (row.verdict, row.overruled, row.stands) == ("soft", "sharp", "sharp")
    assert reader.overrule(number) == ("sharp", "soft on purpose")
    assert reader.leeway() is None
    assert studio.has()[0] == (1, 1)
    last = row.revision
    overrules.take_back(studio.folder, number)
    (row,) = reader.rows_since(last)
    assert (row.overruled, row.stands) == (None, "soft")
    assert studio.has()[0] == (0, 1)


def test_a_covered_setup_may_be_uncovered_again_by_a_word(studio: Studio) -> None:
    bowl, maker, _ = studio.ids
    turns.turn(studio.folder, maker, "screen", BEGAN_S - 1)
    number = studio.shoot("maker-1", OK, 0, setup=1)
    turns.turn(studio.folder, bowl, "screen", BEGAN_S + 1)
    assert studio.reconcile() == []
    overrules.overrule(studio.folder, number, S, "eyes closed", feed=False)
    assert studio.reconcile() == ["The maker"]


@pytest.mark.parametrize(
    ("verdict", "measured", "times"),
    # As `made.judgement` has it: soft 7.2 (6.5 to 7.9) px, sharp 2.5 (2.2 to 2.8), limit 4.0.
    [(OK, S, 7.9 / 4.0), (S, OK, 0.999 * 2.2 / 4.0)],
)
def test_the_limit_follows_only_when_asked_and_by_that_very_frame(
    studio: Studio, verdict: Verdict, measured: Verdict, times: float
) -> None:
    number = studio.shoot("bowl-1", measured, 0)
    overrules.overrule(studio.folder, number, verdict, "as it should be", feed=True)
    found = Reader(studio.folder).leeway()
    assert found is not None
    assert found.frame == "bowl-1"
    assert found.times == pytest.approx(times)
    overrules.settings_limit(studio.folder)
    assert Reader(studio.folder).leeway() is None


@pytest.mark.parametrize(
    ("verdict", "reason", "why"),
    [(OK, " \n", "a reason"), (B, "so", "as sharp or as soft"), (U, "so", "as sharp or as soft")],
)
def test_a_word_without_a_reason_or_a_side_is_none(
    studio: Studio, verdict: Verdict, reason: str, why: str
) -> None:
    number = studio.shoot("bowl-1", S, 0)
    with pytest.raises(OverruleError, match=why):
        overrules.overrule(studio.folder, number, verdict, reason, feed=False)
    with pytest.raises(OverruleError, match="not in the record"):
        overrules.overrule(studio.folder, number + 1, OK, "so", feed=False)
    assert Reader(studio.folder).overrule(number) is None


def test_a_limit_only_grows_to_let_a_frame_in_and_shrinks_to_keep_one_out(studio: Studio) -> None:
    """And it counts from the settings' own, whichever limit the frame itself was judged by."""
    soft = studio.shoot("bowl-1", S, 0)
    overrules.overrule(studio.folder, soft, OK, "a small print", feed=True)
    between = studio.shoot("bowl-2", B, 10)  # 2.2 to 2.8 px, judged by 4.0 as the first one
    overrules.overrule(studio.folder, between, OK, "good enough", feed=True)
    found = Reader(studio.folder).leeway()
    assert found is not None
    assert found.times == pytest.approx(7.9 / 4.0)
    judged_since = replace(entry(studio.folder, "bowl-3", B, 20, setup=studio.ids[0]))
    made = replace(judged_since.judgement, limit_px=7.9, limit_times=7.9 / 4.0)
    studio.record.add(replace(judged_since, judgement=made))
    overrules.overrule(studio.folder, 3, S, "too soft after all", feed=True)
    found = Reader(studio.folder).leeway()
    assert found is not None
    assert found.times == pytest.approx(0.999 * 2.2 / 4.0)


def test_nobody_overrules_a_verdict_by_the_same_one(studio: Studio) -> None:
    number = studio.shoot("bowl-1", OK, 0)
    with pytest.raises(OverruleError, match="measured sharp already"):
        overrules.overrule(studio.folder, number, OK, "so it is", feed=True)
