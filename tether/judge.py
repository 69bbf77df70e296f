"""One frame, from file to verdict: read, aim, measure, decide."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import simplejpeg
from threadpoolctl import threadpool_limits

from tether.frame import file, kinds, pixels, tags
from tether.frame.aim import OutsideFrame, aim
from tether.frame.orientation import upright
from tether.frame.pixels import SMALLEST_SIDE
from tether.model import Cause, Judgement, Rect, Verdict
from tether.settings import Settings
from tether.sharpness.measure import MARGIN, measure
from tether.verdict.advice import advise
from tether.verdict.decide import decide
from tether.verdict.facts import Facts
from tether.verdict.limit import allowed

# The crop is for a screen: as large as a big terminal shows at one pixel a half cell.
CROP_WIDTH, CROP_HEIGHT = 320, 240


@dataclass(frozen=True, slots=True)
class Asked:
    """A file to be judged: its name as a frame, and when it was found whole.

    `found` is `time.monotonic()` at that moment. `within` is the folder that no link may leave.
    """

    path: Path
    frame: str
    arrived: datetime
    found: float
    within: Path | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement with the state of the file that was read for it; None where it was not."""

    judgement: Judgement
    content: tuple[int, int, bytes] | None


def judge(asked: Asked, settings: Settings) -> Judged:
    """Judge one frame. Never raises for anything a file can hold: that is a verdict too."""
    if not kinds.is_read(asked.path):
        return Judged(unreadable(asked, kinds.why_not_read(asked.path)), None)
    try:
        content = file.read(asked.path, asked.within)
    except file.Unreadable as problem:
        return Judged(unreadable(asked, str(problem)), None)
    try:
        judgement, luma = _measured(content.data, asked, settings)
        if luma is not None and judgement.area is not None:
            crop = _crop(luma, judgement.area.rect, judgement.orientation)
            judgement = replace(judgement, crop=crop)
    except (file.Unreadable, MemoryError) as problem:
        judgement = unreadable(asked, str(problem) or "not enough memory to decode it")
    return Judged(judgement, (content.size, content.mtime_ns, file.digest(content.data)))


def warm() -> None:
    """Do once what the first measurement would do, so that the first frame waits for nothing.

    Frames are judged side by side, one a thread: a matrix product that took all cores for itself
    would only be in their way, so this keeps it to one, for the whole process.
    """
    threadpool_limits(limits=1, user_api="blas")
    flat = np.zeros((SMALLEST_SIDE, SMALLEST_SIDE), np.uint8)
    measure(flat, Rect(0, 0, SMALLEST_SIDE, SMALLEST_SIDE))


def unreadable(asked: Asked, why: str) -> Judgement:
    """The judgement of a frame that yields no picture: unjudged, with the reason."""
    return _stamped(asked, verdict=Verdict.UNJUDGED, cause=Cause.UNREADABLE, error=why)


def _measured(
    data: bytes, asked: Asked, settings: Settings
) -> tuple[Judgement, pixels.Luma | None]:
    luma = pixels.luma(data)
    height, width = luma.shape
    told = tags.read(data, width)
    try:
        area = aim(told, width, height, settings.area)
    except OutsideFrame as problem:
        outside = _stamped(
            asked, verdict=Verdict.UNJUDGED, error=str(problem), exposure=told.exposure
        )
        return outside, None
    cut, inner = _with_margin(luma, area.rect)
    measurement = measure(cut, inner, told.curve)
    limit = allowed(settings.limit.purpose, max(width, height), told.exposure)
    verdict, cause = decide(measurement, limit.px)
    advice = advise(
        Facts(
            verdict, cause, measurement, limit.px, told.exposure, area,
            width, height, told.orientation,
        )
    )  # fmt: skip
    judgement = _stamped(
        asked,
        verdict=verdict,
        cause=cause,
        measurement=measurement,
        limit_px=limit.px,
        limit_why=limit.why,
        area=area,
        exposure=told.exposure,
        advice=advice,
        orientation=told.orientation,
    )
    return judgement, luma


def _stamped(asked: Asked, **told: Any) -> Judgement:
    """A judgement with who and when filled in; made at the moment the verdict stands."""
    return Judgement(
        file=asked.path,
        frame=asked.frame,
        arrived=asked.arrived,
        judged=datetime.now().astimezone(),
        latency_ms=1000 * (time.monotonic() - asked.found),
        **told,
    )


def _with_margin(luma: pixels.Luma, rect: Rect) -> tuple[pixels.Luma, Rect]:
    """The area with real pixels around it, as far as the frame has them, and its place there."""
    top, left = max(rect.y - MARGIN, 0), max(rect.x - MARGIN, 0)
    cut = luma[top : rect.y + rect.height + MARGIN, left : rect.x + rect.width + MARGIN]
    return cut, Rect(rect.x - left, rect.y - top, rect.width, rect.height)


def _crop(luma: pixels.Luma, rect: Rect, orientation: int) -> bytes:
    swapped = orientation in {5, 6, 7, 8}
    wide, high = (CROP_HEIGHT, CROP_WIDTH) if swapped else (CROP_WIDTH, CROP_HEIGHT)
    left = max(rect.x + (rect.width - wide) // 2, 0)
    top = max(rect.y + (rect.height - high) // 2, 0)
    cut = upright(luma[top : top + high, left : left + wide], orientation)
    eight = cut if cut.dtype == np.uint8 else (cut >> 8).astype(np.uint8)
    grey = np.ascontiguousarray(eight)[..., np.newaxis]
    coded = simplejpeg.encode_jpeg(grey, quality=88, colorspace="GRAY", colorsubsampling="Gray")
    return bytes(coded)
