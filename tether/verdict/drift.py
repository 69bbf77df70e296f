"""A slow way into softness, named while frames are sharp still: numbers in, words out.

A focus ring that was touched, a tripod that settles, a sitter who leans: each frame is a little
wider than the one before, or all are since one of them. One frame's scatter hides that; many
frames show it. Two tests that ask nothing of how scatter is spread tell it from chance:

- a trend: Mann, Econometrica 13(3), 1945, and Kendall's tau, over several lengths of the series
  that end now; its slope by Theil (Proc. K. Ned. Akad. Wet. 53, 1950) and Sen (J. Am. Stat. Assoc.
  63, 1968);
- a step: Mann & Whitney, Ann. Math. Stat. 18(1), 1947, the last frames against those before; where
  it came: Pettitt, J. R. Stat. Soc. C 28(2), 1979.

Both are one-sided: nobody minds edges that get narrower. Both must exceed what the intervals of
single frames leave open. `tests.benchmarks.drift` prints how often a drift is named where there is
none, and how early where there is one.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from tether.model import FocusMode, Verdict

LONGEST = 48
"""Frames that are looked back upon."""

_TRENDS = (7, 8, 10, 12, 15, 19, 24, 30, 40)  # frames in a trend
_STEPS = (4, 5, 6, 8, 11)  # frames after a step
_BEFORE = 5, 36  # frames before it: as few, and as many
# Probabilities by chance of one test. Several are made with each frame, and with the next one
# again, so these are far below what false alarms may be: see the benchmark.
_TREND_CHANCE, _STEP_CHANCE = 0.0002, 0.0004
_LEAST_TREND, _LEAST_STEP = 1.13, 1.15  # times; less is nobody's concern

_FAR = 60  # frames to the limit past which their number says nothing
_LONG_NAME = 17  # characters

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Seen:
    """A frame's name, and the width of its edges with the 95 % interval, px."""

    frame: str
    px: float
    lo: float
    hi: float


@dataclass(frozen=True, slots=True)
class Drift:
    """How edges have widened up to the last frame.

    `since` is the frame at which it began and `frames` how many there are from that one on.
    `times` is how many times wider edges are now than before. `each` is by how many times they
    widen with each frame, 1 for a step. `left` is after how many frames more they reach the limit,
    None for a step or where that is far.
    """

    since: str
    frames: int
    times: float
    each: float = 1.0
    left: int | None = None

    @property
    def step(self) -> bool:
        """Whether it came at once and has stayed since."""
        return self.each == 1

    @property
    def words(self) -> str:
        """What happens, as a sentence."""
        since = self.since
        if len(since) > _LONG_NAME:
            since = f"{since[: _LONG_NAME - 1]}…"
        if self.step:
            wider = f"{100 * (self.times - 1):.0f} %"
            return f"Drift: edges {wider} wider in all {self.frames} frames from {since} on."
        rate = f"{100 * (self.each - 1):.2g}"
        to_go = ""
        if self.left is not None:
            to_go = f"; about {self.left} to the limit" if self.left else "; at the limit now"
        return f"Drift: edges {rate} % wider a frame since {since}{to_go}."


def drift(frames: Sequence[Seen], limit_px: float | None = None) -> Drift | None:
    """Find a drift towards soft that holds now.

    Parameters
    ----------
    frames
        Of one setup, camera, lens and f-number, in order of time; the last `LONGEST` count.
    limit_px
        The widest edge that is allowed, px.

    Returns
    -------
    Drift or None
        None where there is none, or where the last frame is out of it.
    """
    some = frames[-LONGEST:]
    logs = np.log([one.px for one in some])
    unsure = np.array([math.log(one.hi / one.lo) / 2 for one in some])
    limit = math.log(limit_px) if limit_px else None
    found = _trend(some, logs, unsure, limit)
    step = _step(some, logs, unsure)
    if found is None:
        return step
    # A trend's test finds a step as well: whichever leaves less of the frames unexplained.
    step = step or _as_step(some, logs, found.frames + _BEFORE[0])
    return found if step is None or _unexplained(logs, found) <= _unexplained(logs, step) else step


def check(mode: FocusMode | None) -> str:
    """Say what to look at, by how the frame was focused."""
    if mode in {None, FocusMode.MANUAL}:
        return "Check the focus ring, the tripod's feet, and whether the subject leans."
    return "Check that the focus point is on the subject still, and the tripod's feet."


def advised(
    advice: tuple[str, ...], verdict: Verdict, found: Drift, mode: FocusMode | None
) -> tuple[str, ...]:
    """A frame's advice with its drift; what to change about a frame that is not sharp comes first.

    Two lines at most, as all advice.
    """
    if verdict is Verdict.SHARP or not advice:
        return found.words, check(mode)
    return advice[0], found.words


def _trend(
    some: Sequence[Seen], logs: Doubles, unsure: Doubles, limit: float | None
) -> Drift | None:
    best, least = None, _TREND_CHANCE
    for count in _TRENDS:
        if count > len(logs):
            break
        part = logs[-count:]
        middle = float(np.median(part))
        # Once frames are back below the middle of the rise it is over.
        if part[-1] < middle:
            continue
        slope = float(stats.theilslopes(part)[0])
        rise = slope * (count - 1)
        open_still = max(math.log(_LEAST_TREND), float(np.median(unsure[-count:])))
        # Its test comes last, which takes longest: this is asked of every frame.
        if rise >= open_still and (chance := _kendall(part)) < least:
            now = middle + rise / 2
            left = None
            if limit is not None and (limit - now) / slope <= _FAR:
                left = max(0, math.ceil((limit - now) / slope))
            name = some[len(some) - count].frame
            best = Drift(name, count, math.exp(rise), math.exp(slope), left)
            least = chance
    return best


def _step(some: Sequence[Seen], logs: Doubles, unsure: Doubles) -> Drift | None:
    best, least = None, _STEP_CHANCE
    for count in _STEPS:
        before, after = logs[:-count][-_BEFORE[1] :], logs[-count:]
        if len(before) < _BEFORE[0]:
            break
        was = float(np.median(before))
        rise = float(np.median(after)) - was
        open_still = max(math.log(_LEAST_STEP), float(np.median(unsure[-count:])))
        if rise < open_still or after[-1] < was + rise / 2:
            continue
        chance = float(stats.mannwhitneyu(after, before, alternative="greater").pvalue)
        if chance < least:
            least = chance
            first = _change(np.concatenate([before, after]))
            best = Drift(some[len(some) - first].frame, first, math.exp(rise))
    return best


def _change(part: Doubles) -> int:
    """How many frames there are after the likeliest place of a step."""
    higher = np.sign(part[None, :] - part[:, None])
    at = [higher[:place, place:].sum() for place in range(1, len(part))]
    return len(part) - 1 - int(np.argmax(at))


def _as_step(some: Sequence[Seen], logs: Doubles, count: int) -> Drift | None:
    """The likeliest step among the last frames, where there is room for one."""
    part = logs[-count:]
    after = _change(part)
    rise = float(np.median(part[-after:]) - np.median(part[:-after]))
    enough = after >= _STEPS[0] and rise >= math.log(_LEAST_STEP)
    return Drift(some[len(some) - after].frame, after, math.exp(rise)) if enough else None


def _unexplained(logs: Doubles, found: Drift) -> float:
    """What a drift leaves of how the frames differ: the mean of distances from their median."""
    at = np.arange(len(logs)) - (len(logs) - found.frames)
    told = np.where(at >= 0, math.log(found.times), 0.0)
    if not found.step:
        told = np.maximum(at, 0) * math.log(found.each)
    left = logs - told
    return float(np.abs(left - np.median(left)).mean())


def _kendall(part: Doubles) -> float:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of frames that are all alike
        return float(stats.kendalltau(np.arange(len(part)), part, alternative="greater").pvalue)
