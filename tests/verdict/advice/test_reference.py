"""A frame within its limit that is surely wider than its reference is worth a word, no more."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import example, given
from hypothesis import strategies as st

from tests.verdict.facts import SOFT, measured
from tether.model import Against, Verdict
from tether.verdict.advice import advise
from tether.verdict.advice.reference import MARKED
from tether.verdict.facts import Facts

SHARP = replace(SOFT, verdict=Verdict.SHARP, measurement=measured(2.0, 2.2))
NEAR = replace(SOFT, verdict=Verdict.BORDERLINE, measurement=measured(3.8, 4.0))


def compared(facts: Facts, ratio: float, low: float, high: float, name: str = "bowl-3") -> Facts:
    return replace(facts, against=Against(name, 3, (low, high)), relative_blur=ratio)


def test_a_sharp_frame_says_how_many_times_wider_it_is() -> None:
    assert advise(compared(SHARP, 1.6, 1.4, 1.8)) == (
        "1.6 times as wide as the reference bowl-3: refocus and compare.",
    )


def test_a_borderline_frame_says_that_first() -> None:
    first, second = advise(compared(NEAR, 1.6, 1.4, 1.8))
    assert first.startswith("1.6 times as wide as the reference bowl-3")
    assert second.startswith("Edges between 3.6 and 4.4 px wide, 4.0 allowed")


def test_what_is_not_sure_or_not_much_is_left_unsaid() -> None:
    for interval in ((1.1, 2.2), (MARKED - 0.01, 1.9), (0.9, 1.1), (0.5, 0.7)):
        assert advise(compared(SHARP, sum(interval) / 2, *interval)) == ()
    assert advise(SHARP) == ()
    reason = "the two frames do not show the same thing here"
    assert advise(replace(SHARP, against=Against("bowl-3", 3, None, reason))) == ()


def test_a_soft_frame_says_what_to_change_about_it() -> None:
    assert advise(compared(SOFT, 1.6, 1.4, 1.8)) == advise(SOFT)


@given(st.floats(1, 40), st.floats(0, 1), st.floats(0, 1), st.text(max_size=90))
@example(10.0, 0.0, 0.0, "0" * 24)
def test_its_line_fits(ratio: float, below: float, above: float, name: str) -> None:
    low, high = ratio * (1 - below / 2), ratio * (1 + above)
    for line in advise(compared(SHARP, ratio, low, high, name)):
        assert len(line) <= 80
