"""Who is told of what, and how often; the clock is a number."""

from __future__ import annotations

from typing import Any

import pytest

from tether.alerts.rules import Due, Rules
from tether.model import Verdict
from tether.settings import Alerts

S, B, U, OK = Verdict.SOFT, Verdict.BORDERLINE, Verdict.UNJUDGED, Verdict.SHARP
FIRST = Due(all_clear=False, more=0)


def heard(verdicts: list[Verdict], every_s: float = 1.0, **asked: Any) -> list[Due | None]:
    """One frame in `every_s` seconds."""
    rules = Rules(Alerts(**asked))
    return [rules.hear(verdict, 100 + nth * every_s) for nth, verdict in enumerate(verdicts)]


def test_of_all_verdicts_only_soft_is_told_unless_asked_for() -> None:
    assert heard([OK, B, U, S]) == [None, None, None, FIRST]


@pytest.mark.parametrize(("key", "verdict"), [("borderline", B), ("unjudged", U)])
def test_the_others_are_told_where_that_is_asked_for(key: str, verdict: Verdict) -> None:
    assert heard([verdict], **{key: True}) == [FIRST]


def test_so_many_in_a_row_come_before_the_first() -> None:
    assert heard([S, S, OK, S, S, S], in_a_row=3) == [None] * 5 + [FIRST]


def test_what_is_not_told_of_neither_counts_nor_ends_a_row() -> None:
    assert heard([S, B, U, S], in_a_row=2) == [None, None, None, FIRST]


def test_more_often_than_asked_nobody_is_told_and_the_next_one_counts_them() -> None:
    told = heard([S] * 5, every_s=10.0, at_most_every_s=30.0)
    assert told == [FIRST, None, None, Due(all_clear=False, more=2), None]


def test_frames_counted_before_a_sharp_one_are_not_forgotten() -> None:
    told = heard([S, S, OK, S], every_s=20.0, at_most_every_s=60.0)
    assert told == [FIRST, None, None, Due(all_clear=False, more=1)]


def test_all_is_clear_once_after_an_alert_and_only_if_asked() -> None:
    assert heard([OK, S, S, OK, OK], all_clear=True) == [
        None, FIRST, None, Due(all_clear=True, more=1), None,
    ]  # fmt: skip
    assert heard([S, OK]) == [FIRST, None]


def test_nothing_is_clear_that_nobody_was_alarmed_of() -> None:
    assert heard([S, OK], in_a_row=2, all_clear=True) == [None, None]


def test_two_thousand_soft_frames_in_a_minute_are_two_alerts_and_none_is_lost() -> None:
    told = [one for one in heard([S] * 2000, every_s=0.03, at_most_every_s=30.0) if one]
    assert told == [FIRST, Due(all_clear=False, more=999)]


def test_soft_frames_of_a_setup_that_has_what_it_needs_disturb_nobody() -> None:
    rules = Rules(Alerts(at_most_every_s=0.0))
    assert rules.hear(S, 1.0, in_danger=False) is None
    assert rules.hear(S, 2.0, in_danger=True) == FIRST
    told_anyway = Rules(Alerts(at_most_every_s=0.0, in_danger_only=False))
    assert told_anyway.hear(S, 1.0, in_danger=False) == FIRST
