"""The interval against the limit decides, and a cause is named only where it is known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tether.model import Cause, EdgeWidth, Measurement, Motion, Verdict
from tether.verdict.decide import decide


def measured(lo: float, px: float, hi: float, motion: Motion | None = None) -> Measurement:
    width = EdgeWidth(px, lo, hi)
    return Measurement(width, width, motion, None, 0.004, 200, 0.0)


@pytest.mark.parametrize(
    ("interval", "verdict"),
    [
        ((1.8, 2.2, 2.9), Verdict.SHARP),
        ((3.0, 3.5, 4.0), Verdict.SHARP),
        ((3.0, 3.5, 4.1), Verdict.BORDERLINE),
        ((3.9, 5.0, 6.1), Verdict.BORDERLINE),
        ((4.0, 5.0, 6.1), Verdict.BORDERLINE),
        ((4.1, 5.0, 6.1), Verdict.SOFT),
    ],
)
def test_sharp_is_wholly_within_soft_wholly_beyond(
    interval: tuple[float, float, float], verdict: Verdict
) -> None:
    assert decide(measured(*interval), 4.0)[0] is verdict


def test_soft_in_the_narrowest_direction_too_is_out_of_focus() -> None:
    assert decide(measured(6, 7, 8), 4.0) == (Verdict.SOFT, Cause.DEFOCUS)


def test_soft_in_one_direction_and_maybe_not_in_the_other_has_no_cause() -> None:
    unsure = replace(measured(6, 7, 8), narrowest=EdgeWidth(4.5, 3.5, 6))
    assert decide(unsure, 4.0) == (Verdict.SOFT, None)


def test_a_movement_has_no_cause_while_nobody_knows_who_moved() -> None:
    assert decide(measured(6, 7, 8, Motion(20, 3)), 4.0) == (Verdict.SOFT, None)


@pytest.mark.parametrize("reason", [Cause.NO_DETAIL, Cause.TOO_NOISY])
def test_what_cannot_be_measured_is_unjudged_for_its_reason(reason: Cause) -> None:
    nothing = Measurement(None, None, None, reason, 0.02, 3, 0.0)
    assert decide(nothing, 4.0) == (Verdict.UNJUDGED, reason)
