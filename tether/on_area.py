"""A frame judged on one area of it: measured there, decided, compared with its reference."""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from tether.asked import Asked
from tether.frame.aim import Aim
from tether.frame.crop import crop
from tether.frame.picture import Picture
from tether.model import Against, Around, Cause, Exposure, Eye, Judgement, Measurement, Verdict
from tether.reference import Lookup, compared
from tether.settings import Settings
from tether.sharpness.cut import with_margin
from tether.sharpness.measure import measure
from tether.sharpness.relative import Comparison
from tether.verdict.advice import advise
from tether.verdict.decide import decide
from tether.verdict.facts import Facts
from tether.verdict.limit import Leeway, allowed, fed
from tether.verdict.plane import Plane

NOT_YET = "other frames waited for their verdicts"
"""Why a frame that has its verdict was not compared with its reference, for now."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame that was read, and what it is judged by.

    `exposure` is completed by what the settings know of the camera. `lookup` is asked for its
    reference, `leeway` is how far the session's limit is from the settings' own, and `refused` says
    why a code that the frame shows makes it no slate.
    """

    asked: Asked
    settings: Settings
    picture: Picture
    exposure: Exposure
    lookup: Lookup | None = None
    leeway: Leeway | None = None
    refused: str = ""

    @property
    def notes(self) -> tuple[str, ...]:
        """What of the file was left aside."""
        return *filter(None, (self.refused,)), *self.picture.tags.problems


def on_area(frame: Frame, aimed: Aim) -> Judgement:
    """Judge a frame on the area that was found, against nothing but its limit."""
    seen, area = frame.picture, aimed.area
    luma, told = seen.luma, seen.tags
    measurement = measure(*with_margin(luma, area.rect), told.curve)
    purpose, side = frame.settings.limit.purpose, max(seen.width, seen.height)
    limit = fed(allowed(purpose, side, frame.exposure), frame.leeway)
    verdict, cause = decide(measurement, limit.px)
    judgement = _of(
        frame,
        verdict=verdict,
        cause=cause,
        measurement=measurement,
        limit_px=limit.px,
        limit_why=limit.why,
        slate_refused=frame.refused,
        limit_times=frame.leeway.times if frame.leeway is not None else 1.0,
        area=area,
        notes=(*filter(None, (area.lost,)), *frame.notes),
        eyes=_eyes(seen, aimed.eyes, measurement),
        crop=crop(luma, area.rect, told.orientation),
    )
    return replace(judgement, advice=advice(judgement))


def unmeasured(frame: Frame, **told: Any) -> Judgement:
    """The judgement of a frame whose area is not looked at."""
    return _of(frame, verdict=Verdict.UNJUDGED, notes=frame.notes, **told)


def with_reference(frame: Frame, judgement: Judgement) -> tuple[Judgement, Comparison | None]:
    """Compare a frame that was judged with its reference, if there is one."""
    area = judgement.area
    assert area is not None, "it was judged there"
    found, named, note = compared(frame.lookup, frame.exposure, frame.picture, area, judgement.eyes)
    judgement = replace(
        judgement,
        relative_blur=found.ratio if found is not None else None,
        against=named,
        notes=(*filter(None, (area.lost, note)), *frame.notes),
    )
    return replace(judgement, advice=advice(judgement)), found


def without_reference_yet(judgement: Judgement) -> Judgement:
    """Note that a frame is still to be compared, so that nobody takes it for one without any."""
    return replace(judgement, against=Against("", None, None, NOT_YET))


def explained(
    first: Judgement, around: Around, plane: Plane | None, history: tuple[Cause | None, ...]
) -> Judgement:
    """A soft frame's judgement with what the rest of the frame adds to it.

    `plane` is where in depth the focus lay, as far as a face tells; `history` the causes of the
    frames before with the same lens.
    """
    assert first.measurement is not None and first.limit_px is not None
    _, cause = decide(first.measurement, first.limit_px, around)
    if plane is not None:
        cause = plane.cause
    whole = replace(first, cause=cause, around=around, sharpest=around.sharpest)
    return replace(whole, advice=advice(whole, plane.words if plane is not None else "", history))


def advice(
    told: Judgement, where: str = "", history: tuple[Cause | None, ...] = ()
) -> tuple[str, ...]:
    """What to do about a frame that was measured."""
    measurement, limit, area, size = told.measurement, told.limit_px, told.area, told.size
    assert measurement and limit and area and size, "it was measured"
    facts = Facts(
        told.verdict, told.cause, measurement, limit, told.exposure, area, *size, told.orientation
    )
    distance = told.exposure.focus_distance_m
    if distance is not None and math.isfinite(distance):
        facts = replace(facts, focus_distance_mm=1000 * distance)
    facts = replace(facts, against=told.against, relative_blur=told.relative_blur)
    return advise(replace(facts, around=told.around, where=where, history=history))


def stamped(asked: Asked, **told: Any) -> Judgement:
    """A judgement with who and when filled in; made at the moment the verdict stands."""
    return Judgement(
        file=asked.path, frame=asked.frame, arrived=asked.arrived, camera=asked.camera,
        **_now(asked), **told,
    )  # fmt: skip


def stamped_anew(asked: Asked, judgement: Judgement) -> Judgement:
    """The same at the moment the verdict stands, once all that was to be waited for is there."""
    return replace(judgement, **_now(asked))


def _now(asked: Asked) -> dict[str, Any]:
    latency_ms = 1000 * (time.monotonic() - asked.found)
    return {"judged": datetime.now().astimezone(), "latency_ms": latency_ms}


def _of(frame: Frame, **told: Any) -> Judgement:
    seen = frame.picture
    return stamped(
        frame.asked,
        exposure=frame.exposure,
        orientation=seen.tags.orientation,
        size=(seen.width, seen.height),
        judged_from=seen.judged_from,
        taken_s=seen.tags.taken_s,
        **told,
    )


def _eyes(picture: Picture, eyes: tuple[Eye, ...], first: Measurement) -> tuple[Eye, ...]:
    """The eyes with their widths; the first is the focus area and measured already."""
    widths = [first.widest] + [
        measure(*with_margin(picture.luma, eye.rect), picture.tags.curve).widest for eye in eyes[1:]
    ]
    return tuple(replace(eye, width=width) for eye, width in zip(eyes, widths, strict=False))
