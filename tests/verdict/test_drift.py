"""A slow way into softness is named while frames are sharp, and only where there is one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tether.model import FocusMode, Verdict
from tether.verdict.drift import Drift, Seen, advised, check, drift

Doubles = NDArray[np.floating]

LIMIT = 4.0
NOISE = np.random.default_rng(3).normal(0, 0.03, 200)


def seen(px: Sequence[float] | Doubles, half: float = 0.05, name: str = "bowl-{}") -> list[Seen]:
    """Frames of these widths, px, each known to within `half` of itself."""
    return [
        Seen(name.format(number), float(one), float(one * (1 - half)), float(one * (1 + half)))
        for number, one in enumerate(px, 1)
    ]


def ramp(lead: int, count: int, each: float = 1.03, px: float = 2.0) -> Doubles:
    """Widths that stay for `lead` frames and then grow `each` times a frame for `count` more."""
    exponent = np.maximum(np.arange(lead + count) - lead + 1, 0)
    return np.asarray(px * each**exponent * np.exp(NOISE[: lead + count]))


def test_a_trend_is_named_before_the_limit_with_its_pace_and_its_beginning() -> None:
    found = drift(seen(ramp(15, 12)), LIMIT)
    assert found is not None and not found.step
    assert found.each == pytest.approx(1.03, abs=0.007)
    assert abs(int(found.since.removeprefix("bowl-")) - 16) <= 5
    # Closed form: 3 % a frame from 2 px make 4 px after ln 2 / ln 1.03 = 23.4 frames; 12 have been.
    assert found.left is not None and found.left == pytest.approx(11.4, abs=4)


def test_a_step_is_named_as_one_and_where_it_came() -> None:
    px = np.where(np.arange(24) >= 16, 2.6, 2.0) * np.exp(NOISE[:24])
    found = drift(seen(px), LIMIT)
    assert found is not None and found.step
    assert found.times == pytest.approx(1.3, abs=0.05)
    assert (found.since, found.frames, found.left) == ("bowl-17", 8, None)


@pytest.mark.parametrize("px", [[2.0] * 40, list(2 * np.exp(NOISE[:48]))])
def test_steady_frames_drift_nowhere(px: list[float]) -> None:
    assert all(drift(seen(px[:count]), LIMIT) is None for count in range(len(px) + 1))


def test_soft_frames_now_and_then_are_no_drift() -> None:
    px = 2 * np.exp(NOISE[:40])
    px[[7, 18, 19, 33]] = 9.0
    assert all(drift(seen(px[:count]), LIMIT) is None for count in range(len(px) + 1))


def test_soft_frames_now_and_then_do_not_hide_a_drift() -> None:
    px = ramp(15, 14)
    px[[4, 18, 24]] = 9.0
    assert drift(seen(px), LIMIT) is not None


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(1.0, 9.0), min_size=1, max_size=60))
def test_towards_sharp_is_never_a_drift(px: list[float]) -> None:
    assert drift(seen(sorted(px, reverse=True)), LIMIT) is None


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 48), st.floats(1.0, 1.08), st.floats(0.5, 4.0))
def test_the_unit_of_length_does_not_matter(count: int, each: float, unit: float) -> None:
    px = ramp(10, count, each)
    one, other = drift(seen(px), LIMIT), drift(seen(px * unit), LIMIT * unit)
    assert (one is None) == (other is None)
    if one is not None and other is not None:
        assert (one.since, one.frames) == (other.since, other.frames)
        assert one.each == pytest.approx(other.each)
        assert (one.left is None) == (other.left is None)
        assert one.left is None or abs(one.left - (other.left or 0)) <= 1  # of rounding


def test_it_ends_by_itself_once_the_focus_is_put_right() -> None:
    px = np.concatenate([ramp(15, 12), 2 * np.exp(NOISE[60:80])])
    assert drift(seen(px[:27]), LIMIT) is not None
    assert all(drift(seen(px[:count]), LIMIT) is None for count in range(28, 48))


def test_what_the_intervals_leave_open_is_no_drift_yet() -> None:
    px = ramp(15, 8)
    assert drift(seen(px), LIMIT) is not None
    assert drift(seen(px, half=0.4), LIMIT) is None


@pytest.mark.parametrize("count", range(7))
def test_few_frames_tell_nothing(count: int) -> None:
    assert drift(seen(2.0 * 1.1 ** np.arange(count)), LIMIT) is None


def test_seven_frames_each_wider_than_the_last_are_enough() -> None:
    # Kendall, Biometrika 30, 1938: of 7! orders one is this, 1 in 5040.
    assert drift(seen(2.0 * 1.03 ** np.arange(7)), LIMIT) is not None


def test_without_a_limit_nothing_is_said_of_it() -> None:
    found = drift(seen(ramp(15, 12)))
    assert found is not None and found.left is None


def test_beyond_the_limit_none_are_left() -> None:
    found = drift(seen(ramp(15, 12)), 2.1)
    assert found is not None and found.left == 0
    assert "at the limit now" in found.words


@settings(max_examples=100, deadline=None)
@given(
    st.text(min_size=1, max_size=90),
    st.integers(4, 48),
    st.floats(1.13, 9),
    st.just(1.0) | st.floats(1.001, 1.5),
    st.none() | st.integers(0, 60),
)
def test_its_words_fit_a_line(
    name: str, frames: int, times: float, each: float, left: int | None
) -> None:
    found = Drift(name, frames, times, each, left if each > 1 else None)
    assert len(found.words) <= 80
    assert found.words.startswith("Drift: edges ") and found.words.endswith(".")


def test_words_say_pace_beginning_and_what_is_left() -> None:
    slow = Drift("bowl-12", 9, 1.3, 1.03, 7)
    assert slow.words == "Drift: edges 3 % wider a frame since bowl-12; about 7 to the limit."
    at_once = Drift("bowl-12", 5, 1.3)
    assert at_once.words == "Drift: edges 30 % wider in all 5 frames from bowl-12 on."


def test_advice_has_two_lines_and_first_what_to_change_about_a_soft_frame() -> None:
    found, mode = Drift("bowl-12", 9, 1.3, 1.03, 7), FocusMode.MANUAL
    both = advised((), Verdict.SHARP, found, mode)
    assert both == (found.words, check(mode))
    told = ("Refocus on the fixed area, magnified, and take it again.", "Edges 5.0 px wide.")
    assert advised(told, Verdict.SOFT, found, mode) == (told[0], found.words)


@pytest.mark.parametrize("mode", [None, *FocusMode])
def test_only_who_focuses_by_hand_looks_at_the_ring(mode: FocusMode | None) -> None:
    by_hand = mode in {None, FocusMode.MANUAL}
    assert ("focus ring" in check(mode)) is by_hand
    assert ("focus point" in check(mode)) is not by_hand
    assert len(check(mode)) <= 80


def test_many_frames_are_looked_back_upon_only_so_far() -> None:
    old = ramp(0, 20)
    assert drift(seen([*old, *(2 * np.exp(NOISE[:60]))]), LIMIT) is None
