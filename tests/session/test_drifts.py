"""A watch names a drift before the first soft frame, in advice and for the screens."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from tests.session.made import BEGUN, judgement, until
from tests.session.running import Begin
from tests.session.test_references import frame
from tether.frame.file import FileIdentity
from tether.model import Against, EdgeWidth, FocusArea, Judgement, Measurement, Source, Verdict
from tether.session.drifts import Drifts
from tether.session.reader import Reader
from tether.session.record import Entry, Record
from tether.settings import Settings

ONE = Settings.model_validate({"watch": {"workers": 1}, "limit": {"edge_width_px": 6.0}})
NOISE = np.random.default_rng(4).normal(0, 0.03, 100)
STEADY = [*(2 * np.exp(NOISE[:15]))]
RISING = [*(2 * 1.03 ** np.arange(1, 15) * np.exp(NOISE[15:29]))]


def made(
    number: int,
    px: float,
    *,
    ratio: float | None = None,
    reference: int = 1,
    half: float = 0.12,
) -> Judgement:
    """A sharp frame of this edge width, known to within `half`; 4 % against a reference."""
    width = EdgeWidth(px, (1 - half) * px, (1 + half) * px)
    against = None
    if ratio is not None:
        interval = 0.96 * ratio, 1.04 * ratio
        against = Against(f"bowl-{reference}", reference, interval)
    return replace(
        judgement(Path("/shoot"), f"bowl-{number}"),
        arrived=BEGUN + timedelta(seconds=7 * number),
        verdict=Verdict.SHARP,
        measurement=Measurement(width, width, None, None, 0.004, 200, 0.0),
        relative_blur=ratio,
        against=against,
    )


def of(px: list[float], half: float = 0.12) -> list[Judgement]:
    return [made(number, one, half=half) for number, one in enumerate(px, 1)]


def has(frames: list[Judgement], drifts: Drifts) -> list[bool]:
    taken = [drifts.taken(one, None) for one in frames]
    return [any(line.startswith("Drift: ") for line in one.advice) for one in taken]


def test_a_frame_in_a_drift_says_so_and_a_frame_before_it_does_not(folder: Path) -> None:
    drifts = Drifts(folder)
    named = has(of(STEADY + RISING), drifts)
    assert not any(named[:15])
    assert all(named[-3:])
    assert drifts.line.startswith("Drift: edges ")
    assert drifts.line.endswith("whether the subject leans.")


def test_a_frame_judged_late_takes_its_place_in_time(folder: Path) -> None:
    frames = of(STEADY + RISING)
    drifts = Drifts(folder)
    named = has([*frames[:3], *reversed(frames[3:])], drifts)
    assert drifts.line
    assert drifts.told(frames[-1]).advice
    # The last of them to be judged came before the drift began.
    assert not named[-1]


def test_frames_of_another_setup_aperture_or_place_are_another_series(folder: Path) -> None:
    for change in ("setup", "aperture", "source"):
        drifts = Drifts(folder)
        for one in of(STEADY):
            drifts.taken(one, 1)
        for late in (made(15 + n, px) for n, px in enumerate(RISING, 1)):
            setup, other = 1, late
            if change == "setup":
                setup = 2
            elif change == "aperture":
                other = replace(late, exposure=replace(late.exposure, f_number=8.0))
            else:
                assert late.area is not None
                area = FocusArea(late.area.rect, Source.FRAME_CENTRE)
                other = replace(late, area=area)
            drifts.taken(replace(other, measurement=made(1, 2.0).measurement), setup)
        assert drifts.line == "", change


def test_the_ratio_to_a_reference_tells_a_drift_that_widths_leave_open(folder: Path) -> None:
    true = STEADY + RISING[:9]
    with_ratio = [made(n, px, ratio=px / 2, half=0.4) for n, px in enumerate(true, 1)]
    assert any(has(with_ratio, Drifts(folder)))
    assert not any(has(of(true, half=0.4), Drifts(folder)))


def test_another_reference_makes_no_step(folder: Path) -> None:
    # The second reference is half as wide again: ratios fall by a third, widths do not.
    before = [made(n, px, ratio=px / 2) for n, px in enumerate(STEADY, 1)]
    after = [made(15 + n, px, ratio=px / 3, reference=2) for n, px in enumerate(STEADY, 1)]
    assert not any(has([*after, *before], Drifts(folder)))
    assert not any(has([*before, *after], Drifts(folder)))


def test_a_frame_saved_anew_counts_once(folder: Path) -> None:
    drifts = Drifts(folder)
    frames = of(STEADY + RISING)
    has(frames, drifts)
    has([replace(one, measurement=frames[0].measurement) for one in frames], drifts)
    assert drifts.line == ""


def test_what_was_not_measured_takes_no_part(folder: Path) -> None:
    drifts = Drifts(folder)
    nothing = Measurement(None, None, None, None, 0.0, 0, 0.0)
    for one in of(STEADY):
        told = replace(one, measurement=nothing, advice=("Put it elsewhere.",))
        assert drifts.taken(told, None) == told
        assert drifts.taken(replace(one, slate="bowl"), None).advice == ()
    assert drifts.line == ""


@pytest.mark.parametrize("ratio", [False, True])
def test_after_a_restart_earlier_frames_count(folder: Path, ratio: bool) -> None:
    widths = STEADY + RISING
    frames = [made(n, px, ratio=px / 2 if ratio else None) for n, px in enumerate(widths, 1)]
    record = Record(folder)
    for number, one in enumerate(frames[:-1]):
        record.add(
            Entry(one, Path(f"{one.frame}.jpg"), FileIdentity(1, number, 1000, number), b"d" * 16)
        )
    record.close()
    drifts = Drifts(folder)
    drifts.begin()
    assert drifts.line
    assert drifts.taken(frames[-1], None).advice
    uninterrupted = Drifts(folder)
    for one in frames[:-1]:
        uninterrupted.taken(one, None)
    again = Drifts(folder)
    again.begin()
    assert again.line.split(".")[0] == uninterrupted.line.split(".")[0]


def test_a_folder_without_a_record_has_no_earlier_frames(folder: Path) -> None:
    drifts = Drifts(folder)
    drifts.begin()
    assert drifts.line == ""


def test_a_focus_ring_that_creeps_is_named_by_a_watch_before_a_frame_is_soft(
    folder: Path, watched: Begin
) -> None:
    running = watched(ONE)
    steps = [0.6] * 8 + [0.6 + 0.11 * n for n in range(1, 16)]
    for number, sigma in enumerate(steps, 1):
        frame(folder, f"bowl-{number:02}", sigma)
        running.until_told(number)
    told = running.told
    named = [any(line.startswith("Drift: ") for line in one.advice) for one in told]
    soft = [one.verdict is Verdict.SOFT for one in told]
    first = soft.index(True) if any(soft) else len(soft)
    assert any(named[8:first])
    assert not any(named[:8])
    assert all(one.error is None and len(one.advice) <= 2 for one in told)
    until(lambda: Reader(folder).state().drift.startswith("Drift: edges "))
    running.end()
    assert Reader(folder).state().drift == ""
