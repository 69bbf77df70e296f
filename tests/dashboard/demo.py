"""Records to look at: a session that drifts out of focus, and one of any length."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from tether.frame.file import FileIdentity
from tether.model import (
    Cause,
    EdgeWidth,
    Exposure,
    FocusArea,
    Judgement,
    Measurement,
    Motion,
    Rect,
    Source,
    Verdict,
)
from tether.session.record import Entry, Record

BEGAN = datetime(2026, 3, 14, 14, 2, 11, tzinfo=timezone(timedelta(hours=1)))
TAKEN = Exposure(1 / 60, 2.8, 100.0, 200, "Macro 100mm F2.8", "Studio Body II", 3.76)
LIMIT = 3.5
ADVICE = {
    Cause.DEFOCUS: "Focus again: edges are wide in every direction alike; f/4 gives more depth.",
    Cause.CAMERA_SHAKE: "Use 1/125 s or shorter, or put the camera on its tripod.",
}


def entry(
    number: int,
    verdict: Verdict = Verdict.SHARP,
    *,
    width: float | None = 2.4,
    cause: Cause | None = None,
    arrived: datetime = BEGAN,
    name: str | None = None,
    error: str | None = None,
    exposure: Exposure = TAKEN,
    crop: bytes = b"",
) -> Entry:
    """One frame for the record; `width` in px, None for a frame without a measurement."""
    name = name or f"bowl-{number:04}"
    spread = 0.25 + 0.06 * (width or 0)
    measured = None
    if width is not None:
        motion = Motion(34.0, 2.3) if cause is Cause.CAMERA_SHAKE else None
        narrow = EdgeWidth(width * 0.8, width * 0.8 - spread, width * 0.8 + spread)
        widest = EdgeWidth(width, width - spread, width + spread)
        measured = Measurement(widest, narrow, motion, None, 0.01, 900, 0.0)
    judgement = Judgement(
        file=Path(f"/shoot/{number}.jpg"),
        frame=name,
        arrived=arrived,
        judged=arrived + timedelta(seconds=0.4),
        latency_ms=412.0,
        verdict=verdict,
        cause=cause,
        measurement=measured,
        limit_px=LIMIT,
        area=FocusArea(Rect(2840, 1650, 320, 320), Source.CAMERA_FOCUS_POINT),
        exposure=exposure,
        advice=(ADVICE[cause],) if cause in ADVICE else (),
        error=error,
        crop=crop,
    )
    return Entry(
        judgement, Path(f"{number}.jpg"), FileIdentity(1, number, 1000 + number, number), None
    )


def drifting(frames: int = 46) -> Iterator[Entry]:
    """Frames of one product, refocused twice, that drift towards soft in between."""
    chance = random.Random(7)
    arrived = BEGAN
    for number in range(1, frames + 1):
        arrived += timedelta(seconds=chance.uniform(4, 11))
        since = (number - 1) % 23
        width = 2.0 + 0.045 * since + 0.0016 * since**2 + chance.gauss(0, 0.13)
        verdict, cause = Verdict.SHARP, None
        if number in {9, 31}:
            width, cause = 6.2 + chance.random(), Cause.CAMERA_SHAKE
        elif since > 20:
            width += 0.9
        spread = 0.25 + 0.06 * width
        if width - spread > LIMIT:
            verdict, cause = Verdict.SOFT, cause or Cause.DEFOCUS
        elif width + spread > LIMIT:
            verdict, cause = Verdict.BORDERLINE, Cause.DEFOCUS
        if number == 27:
            yield entry(
                number, Verdict.UNJUDGED, width=None, cause=Cause.NO_DETAIL, arrived=arrived
            )
            continue
        picture = crop(round(width, 1), shaken=cause is Cause.CAMERA_SHAKE)
        yield entry(number, verdict, width=width, cause=cause, arrived=arrived, crop=picture)


@lru_cache(64)
def crop(width: float, *, shaken: bool = False) -> bytes:
    """JPEG of a cup's rim, its edges about `width` px wide."""
    from scipy.ndimage import gaussian_filter, uniform_filter1d
    from skimage.data import coffee

    whole = coffee().mean(axis=2)
    grey = whole.reshape(200, 2, 300, 2).mean(axis=(1, 3))[:, 60:260]
    sigma = math.sqrt(max(0.0, width**2 - 2.0**2)) / 2.563
    blurred = (
        uniform_filter1d(grey, round(width), axis=1) if shaken else gaussian_filter(grey, sigma)
    )
    return jpeg(blurred.astype(np.uint8))


def jpeg(grey: npt.NDArray[np.uint8], quality: int = 95) -> bytes:
    """The picture as a grey JPEG."""
    import simplejpeg

    plane = np.ascontiguousarray(grey)[:, :, None]
    return bytes(simplejpeg.encode_jpeg(plane, quality=quality, colorspace="GRAY"))


def long_record(folder: Path, frames: int = 10_000) -> None:
    """Fill a record with many frames; only the last few have a picture."""
    chance = random.Random(3)
    record = Record(folder)
    for number in range(1, frames + 1):
        width = 2.6 + 0.7 * math.sin(number / 40) + chance.gauss(0, 0.2)
        spread = 0.25 + 0.06 * width
        soft, near = width - spread > LIMIT, width + spread > LIMIT
        verdict = Verdict.SOFT if soft else Verdict.BORDERLINE if near else Verdict.SHARP
        record.add(
            entry(
                number,
                verdict,
                width=width,
                cause=Cause.DEFOCUS if soft else None,
                arrived=BEGAN + timedelta(seconds=2 * number),
                crop=crop(round(width, 1)) if number > frames - 20 else b"",
            )
        )
    record.close()
