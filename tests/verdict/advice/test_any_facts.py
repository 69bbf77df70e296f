"""Whatever is known of a frame, advice is short, whole, and at odds with nothing known."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.verdict.facts import SOFT
from tether.model import (
    Around,
    Cause,
    EdgeWidth,
    Exposure,
    FocusArea,
    FocusMode,
    Measurement,
    Motion,
    Rect,
    Source,
    Verdict,
)
from tether.optics import floor, shutter
from tether.verdict.advice import advise
from tether.verdict.facts import Facts


def known(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(low, high)


times = st.none() | st.floats(1 / 16000, 40) | st.sampled_from([1 / 8000, 1 / 4000, 1 / 125, 1.0])
stops = known(0.9, 45) | st.sampled_from([1.2, 1.4, 1.8, 2.8, 8.0, 11.0, 22.0, 32.0])
exposures = st.builds(
    Exposure,
    shutter_s=times,
    f_number=stops,
    focal_length_mm=known(1, 1200),
    iso=st.none() | st.integers(25, 400_000),
    lens=st.sampled_from([None, "Studio 85mm f/1.8", "XF35mmF1.4 R", "Kit 18-55mm f/3.5-5.6", ""]),
    pixel_pitch_um=known(0.5, 30),
    focus_mode=st.none() | st.sampled_from(list(FocusMode)),
    stabilised=st.none() | st.booleans(),
)


@st.composite
def measurements(draw: st.DrawFn) -> Measurement:
    if draw(st.integers(0, 5)) == 0:
        note = draw(st.sampled_from(["", "no edges of enough contrast"]))
        return Measurement(None, None, None, Cause.NO_DETAIL, 0.0, 0, draw(st.floats(0, 1)), note)
    narrow = draw(st.floats(0.8, 40))
    wide = narrow * draw(st.floats(1, 8))
    spread = draw(st.floats(0, 0.5))
    motion = draw(st.none() | st.builds(Motion, st.floats(0, 179.9), st.just(wide / narrow)))
    widest, narrowest = (
        EdgeWidth(px, px * (1 - spread), px * (1 + spread)) for px in (wide, narrow)
    )
    return Measurement(widest, narrowest, motion, None, 0.004, 200, 0.0)


places = st.builds(
    Rect, st.integers(0, 8000), st.integers(0, 8000), st.integers(1, 400), st.integers(1, 400)
)
around = st.none() | st.builds(
    Around,
    st.none() | st.tuples(places, st.floats(1, 9).map(lambda px: EdgeWidth(px, px, px))),
    st.integers(0, 20),
    st.integers(0, 20),
    st.integers(0, 40),
)


@st.composite
def frames(draw: st.DrawFn) -> Facts:
    measurement = draw(measurements())
    limit = draw(st.floats(1, 50))
    widest = measurement.widest
    if widest is None:
        verdict = Verdict.UNJUDGED
    else:
        sharp, near = widest.hi <= limit, widest.lo <= limit
        verdict = Verdict.SHARP if sharp else Verdict.BORDERLINE if near else Verdict.SOFT
    return Facts(
        verdict,
        draw(st.none() | st.sampled_from(list(Cause))),
        measurement,
        limit,
        draw(exposures),
        FocusArea(draw(places), draw(st.sampled_from(list(Source)))),
        draw(st.integers(200, 15_000)),
        draw(st.integers(200, 15_000)),
        draw(st.integers(1, 8)),
        draw(around),
        draw(st.sampled_from(["", "the nose is sharper than the near eye"])),
        tuple(draw(st.lists(st.none() | st.sampled_from(list(Cause)), max_size=8))),
        draw(known(30, 50_000)),
        draw(known(0.1, 3000)),
    )


MANY = settings(max_examples=150, deadline=None)
# "1/200 s" as an advised time, not as the one that was used.
ASKED = re.compile(
    r"(?:by hand take |hand: |shook: |asks for |lets it move: |subject asks |on: )1/(\d+) s"
    r"|1/(\d+) s holds this movement"
)


@MANY
@given(frames())
def test_at_most_two_whole_lines(facts: Facts) -> None:
    lines = advise(facts)
    assert len(lines) <= 2
    assert bool(lines) is (facts.verdict is not Verdict.SHARP)
    # The first line is what a terminal of 80 columns has room for.
    assert all(len(line) <= 80 for line in lines[:1])
    for line in lines:
        assert 0 < len(line) <= 100
        assert line[0].isupper() or line[0].isdigit()
        assert line.endswith((".", ")"))
        assert not re.search(r"None|\bnan\b|\binf\b|e[+-]\d|  |\.\.|,\.", line)


@MANY
@given(frames())
def test_no_shutter_is_asked_for_that_is_set_or_that_cameras_lack(facts: Facts) -> None:
    used = facts.exposure.shutter_s
    for either in ASKED.findall("\n".join(advise(facts))):
        part = int("".join(either))
        assert used is not None
        assert 1 / part < used
        assert part <= 8000


@MANY
@given(frames())
def test_a_kept_rule_is_not_called_broken(facts: Facts) -> None:
    told = "\n".join(advise(facts))
    taken = facts.exposure
    broken = "slow for a hand" in told or "is slow." in told
    if broken or "holds a hand" in told or "should hold" in told:
        assert taken.shutter_s and taken.focal_length_mm and taken.pixel_pitch_um
        rule = shutter.slowest_handheld_s(
            shutter.equivalent_mm(taken.focal_length_mm, taken.pixel_pitch_um, facts.long_side_px)
        )
        assert broken is (taken.shutter_s > 1.1 * rule)


@st.composite
def stopped_down(draw: st.DrawFn) -> Facts:
    """Frames about as soft as their aperture makes them."""
    facts = draw(frames())
    taken = replace(
        facts.exposure, f_number=draw(st.floats(8, 40)), pixel_pitch_um=draw(st.floats(1, 8))
    )
    width = draw(st.floats(0.7, 1.2)) * replace(facts, exposure=taken).focused_px(taken.f_number)
    edge = EdgeWidth(width, 0.9 * width, 1.1 * width)
    return replace(
        facts,
        verdict=Verdict.SOFT,
        cause=draw(st.sampled_from([None, Cause.DEFOCUS])),
        exposure=taken,
        measurement=Measurement(edge, edge, None, None, 0.004, 200, 0.0),
        limit_px=draw(st.floats(0.2, 0.89)) * width,
    )


@MANY
@given(frames() | stopped_down())
def test_the_aperture_moves_the_way_it_is_told(facts: Facts) -> None:
    used = facts.exposure.f_number
    told = "\n".join(advise(facts))
    for one in re.findall(r"Open up to f/([\d.]+):", told):
        assert used is not None
        assert float(one) < used
        # The stop advised meets the limit, or diffraction hardly counts there.
        least = max(facts.limit_px, 1.12 * floor.camera_px(facts.long_side_px))
        assert facts.focused_px(float(one)) <= least * 1.01
    for one in re.findall(r"Stop down to f/([\d.]+):", told):
        assert used is not None
        assert float(one) > used
        assert facts.focused_px(float(one)) < facts.limit_px
    for low in re.findall(r"is best near f/([\d.]+) to", told):
        assert used is not None
        assert used < float(low)
    assert not ("Open up" in told and ("Stop down" in told or "is best" in told))


@MANY
@given(frames())
def test_advice_is_not_at_odds_with_how_it_was_focused_and_held(facts: Facts) -> None:
    told = "\n".join(advise(facts))
    if facts.exposure.focus_mode is FocusMode.MANUAL:
        assert not re.search(r"one (focus )?point|offset at the bench", told)
    if facts.exposure.stabilised:
        assert not re.search(r"or a stabiliser|slow for a hand|is slow\.", told)
    if facts.exposure.stabilised is False:
        assert not re.search(r"stabiliser (on|off)", told)


@MANY
@given(frames())
def test_nothing_is_made_of_what_the_file_does_not_tell(facts: Facts) -> None:
    bare = replace(facts, exposure=Exposure(), focus_distance_mm=None, depth_needed_mm=None)
    told = "\n".join(advise(bare))
    assert not re.search(r"\d s\b|f/|mm\b|ISO", told)


@given(st.sampled_from(list(Cause)), st.sampled_from(list(Verdict)))
def test_every_cause_is_answered(cause: Cause, verdict: Verdict) -> None:
    lines = advise(replace(SOFT, cause=cause, verdict=verdict))
    assert bool(lines) is (verdict is not Verdict.SHARP)
