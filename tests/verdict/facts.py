"""Frames made up for advice."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tether.model import (
    Cause,
    EdgeWidth,
    Exposure,
    FocusArea,
    Measurement,
    Motion,
    Rect,
    Source,
    Verdict,
)
from tether.verdict.advice import advise
from tether.verdict.facts import Facts

# 6000 px of 6 µm are 36 mm: 35 mm terms are the lens's own.
AT_85 = Exposure(1 / 60, 4.0, 85.0, 200, None, None, 6.0)


def measured(across: float, along: float, motion: Motion | None = None) -> Measurement:
    """An area with these edge widths, each within a tenth."""
    wide, narrow = (EdgeWidth(px, 0.9 * px, 1.1 * px) for px in (along, across))
    return Measurement(wide, narrow, motion, None, 0.004, 200, 0.0)


OUT = measured(6.5, 7.0)
MOVED = measured(2.7, 7.0, Motion(20.0, 2.6))

SOFT = Facts(
    Verdict.SOFT,
    None,
    OUT,
    4.0,
    AT_85,
    FocusArea(Rect(2800, 1800, 400, 400), Source.SUBJECT_AREA),
    6000,
    4000,
)


def said(cause: Cause | None = None, taken: dict[str, Any] | None = None, **known: Any) -> str:
    """What is said of a soft frame, as lines; `taken` changes the exposure."""
    exposure = replace(SOFT.exposure, **(taken or {}))
    return "\n".join(advise(replace(SOFT, cause=cause, exposure=exposure, **known)))
